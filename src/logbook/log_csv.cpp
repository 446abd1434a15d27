#include "platewise/logbook/log_csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "platewise/core/csv.h"

namespace platewise {
namespace {

// A spreadsheet's cell holds 32767 characters; some stay free.
constexpr std::size_t kCellBytes = 30000;
constexpr std::string_view kFormulaSigns = "=+-@\t\r'";
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

struct NumberColumn {
  const char* name;
  std::optional<double> LogEntry::*field;
};
constexpr NumberColumn kNumbers[] = {{"exposure_s", &LogEntry::exposure_s},
                                     {"development_s", &LogEntry::development_s},
                                     {"aperture", &LogEntry::aperture},
                                     {"meter_ev", &LogEntry::meter_ev},
                                     {"temperature_c", &LogEntry::temperature_c},
                                     {"bellows_ratio", &LogEntry::bellows_ratio},
                                     {"schwarzschild_p", &LogEntry::schwarzschild_p}};

struct TextColumn {
  const char* name;
  std::string LogEntry::*field;
};
constexpr TextColumn kTextsBefore[] = {
    {"series", &LogEntry::series}, {"scan_path", &LogEntry::scan_path}, {"scored_at", &LogEntry::scored_at}};
constexpr TextColumn kTextsAfter[] = {
    {"note", &LogEntry::note}, {"done", &LogEntry::done}, {"scan_sha256", &LogEntry::scan_sha256}};

std::string cell(const std::string& text) {
  std::string quoted = "\"";
  if (!text.empty() && kFormulaSigns.find(text.front()) != std::string_view::npos) quoted += '\'';
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + '"';
}

std::string text_of(const std::string& cell) {
  return cell.starts_with('\'') ? cell.substr(1) : cell;
}

// Cuts fall between characters, never inside one of several bytes.
std::vector<std::string> parts_of(const std::string& text) {
  std::vector<std::string> parts;
  std::size_t at = 0;
  while (at < text.size()) {
    std::size_t end = std::min(text.size(), at + kCellBytes);
    while (end < text.size() && end > at + 1 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U)
      --end;
    parts.push_back(text.substr(at, end - at));
    at = end;
  }
  return parts;
}

std::string score_column(std::size_t part) {
  return part == 0 ? "score_json" : fmt::format("score_json_{}", part + 1);
}

Result<std::optional<double>> number_of(const std::string& cell, const std::string& where, std::size_t row,
                                        const char* column) {
  const std::string text = text_of(cell);
  if (text.empty()) return std::optional<double>();
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error == std::errc{} && end == text.data() + text.size() && std::isfinite(value))
    return std::optional(value);
  return failure(where, fmt::format("plate {} of the list: {} \"{}\" is not a number", row + 1, column, cell),
                 "use a point, no unit and no thousands sign");
}

}  // namespace

std::string log_csv(std::span<const LoggedPlate> plates) {
  std::size_t columns = 1;
  for (const LoggedPlate& plate : plates)
    columns = std::max(columns, parts_of(plate.entry.score_json).size());
  std::string text = std::string(kByteOrderMark) + "number";
  for (const TextColumn& column : kTextsBefore) text += fmt::format(",{}", column.name);
  for (const NumberColumn& column : kNumbers) text += fmt::format(",{}", column.name);
  for (const TextColumn& column : kTextsAfter) text += fmt::format(",{}", column.name);
  for (std::size_t i = 0; i < columns; ++i) text += "," + score_column(i);
  text += "\r\n";
  for (const LoggedPlate& plate : plates) {
    const LogEntry& entry = plate.entry;
    text += fmt::format("{}", plate.id);
    for (const TextColumn& column : kTextsBefore) text += "," + cell(entry.*column.field);
    for (const NumberColumn& column : kNumbers) {
      const std::optional<double>& value = entry.*column.field;
      text += value ? fmt::format(",{}", *value) : ",";
    }
    for (const TextColumn& column : kTextsAfter) text += "," + cell(entry.*column.field);
    const std::vector<std::string> parts = parts_of(entry.score_json);
    for (std::size_t i = 0; i < columns; ++i)
      text += "," + (i < parts.size() ? cell(parts[i]) : std::string());
    text += "\r\n";
  }
  return text;
}

Result<std::vector<LogEntry>> log_entries_from_csv(std::string_view text, const std::string& where) {
  const Result<Csv> table = parse_csv(text, where);
  if (!table) return tl::make_unexpected(table.error());
  for (const char* must : {"series", "scan_sha256"}) {
    if (!table->has(must)) {
      return failure(where, fmt::format("has no column {}", must),
                     "use a list as `platewise log export` writes it");
    }
  }
  std::vector<LogEntry> entries;
  for (std::size_t row = 0; row < table->rows.size(); ++row) {
    LogEntry entry;
    for (const auto& columns : {std::span(kTextsBefore), std::span(kTextsAfter)}) {
      for (const TextColumn& column : columns) {
        if (table->has(column.name)) entry.*column.field = text_of(table->cell(row, column.name));
      }
    }
    for (const NumberColumn& column : kNumbers) {
      if (!table->has(column.name)) continue;
      const auto value = number_of(table->cell(row, column.name), where, row, column.name);
      if (!value) return tl::make_unexpected(value.error());
      entry.*column.field = *value;
    }
    for (std::size_t i = 0; table->has(score_column(i)); ++i) {
      entry.score_json += text_of(table->cell(row, score_column(i)));
    }
    if (entry.scan_sha256.empty()) {
      return failure(where, fmt::format("plate {} of the list has no scan_sha256", row + 1),
                     "each row needs the one it was exported with");
    }
    entries.push_back(std::move(entry));
  }
  return entries;
}

}  // namespace platewise
