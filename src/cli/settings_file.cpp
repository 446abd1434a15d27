#include "settings_file.h"

#include <fmt/format.h>

#include <fstream>
#include <functional>
#include <iterator>

#include "platewise/core/csv.h"
#include "values.h"

namespace platewise::cli {
namespace {

Result<double> temperature_c(std::string_view text, const std::string& where) {
  const auto value = number_in(text);
  constexpr double kFurthest = 100.0;
  if (!value || *value < -kFurthest || *value > kFurthest) {
    return failure(where, fmt::format("cannot understand \"{}\"", text), "a temperature in degrees Celsius");
  }
  return *value;
}

using Reader = Result<double> (*)(std::string_view, const std::string&);
struct Column {
  const char* name;
  Reader read;
  std::optional<double> PlateSettings::*field;
};
constexpr Column kColumns[] = {{"exposure_s", time_s, &PlateSettings::exposure_s},
                               {"development_s", time_s, &PlateSettings::development_s},
                               {"aperture", f_number, &PlateSettings::aperture},
                               {"meter_ev", exposure_value, &PlateSettings::meter_ev},
                               {"temperature_c", temperature_c, &PlateSettings::temperature_c},
                               {"bellows", bellows_ratio, &PlateSettings::bellows_ratio},
                               {"reciprocity", schwarzschild_p, &PlateSettings::schwarzschild_p}};

std::string cell_or_empty(const Csv& csv, std::size_t row, const char* column) {
  return csv.has(column) ? csv.cell(row, column) : std::string();
}

Result<void> note_plate_itself(const Csv& csv, std::size_t row, const std::string& where, NotedPlate& plate) {
  if (const std::string kind = cell_or_empty(csv, row, "kind"); !kind.empty()) {
    plate.kind = from_name<PlateKind>(kind);
    if (!plate.kind) {
      return failure(where, fmt::format("{} is no kind of plate", kind), "tintype, ambrotype or negative");
    }
  }
  if (const std::string size = cell_or_empty(csv, row, "plate_size"); !size.empty()) {
    auto read = plate_size(size, fmt::format("{}, plate_size of {}", where, csv.cell(row, "file")));
    if (!read) return tl::make_unexpected(read.error());
    plate.plate_size = *std::move(read);
  }
  return {};
}

Result<NotedPlate> noted_plate(const Csv& csv, std::size_t row, const std::string& where) {
  NotedPlate plate;
  for (const Column& column : kColumns) {
    if (!csv.has(column.name)) continue;
    const std::string& cell = csv.cell(row, column.name);
    if (cell.find_first_not_of(" \t") == std::string::npos) continue;
    const auto value =
        column.read(cell, fmt::format("{}, {} of {}", where, column.name, csv.cell(row, "file")));
    if (!value) return tl::make_unexpected(value.error());
    plate.settings.*column.field = *value;
  }
  if (const auto wrong = note_plate_itself(csv, row, where, plate); !wrong)
    return tl::make_unexpected(wrong.error());
  if (csv.has("note")) plate.note = csv.cell(row, "note");
  return plate;
}

}  // namespace

Result<SettingsList> SettingsList::parse(std::string_view text, const std::string& where) {
  const auto csv = parse_csv(text, where);
  if (!csv) return tl::make_unexpected(csv.error());
  if (!csv->has("file")) return failure(where, "has no column \"file\"", "the header line names the columns");
  SettingsList list;
  for (std::size_t row = 0; row < csv->rows.size(); ++row) {
    auto plate = noted_plate(*csv, row, where);
    if (!plate) return tl::make_unexpected(plate.error());
    const bool is_new = list.by_file_.emplace(csv->cell(row, "file"), *std::move(plate)).second;
    if (!is_new) return failure(where, fmt::format("names {} twice", csv->cell(row, "file")));
  }
  return list;
}

Result<SettingsList> SettingsList::read(const std::filesystem::path& path) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(path, failed)) {
    return failure(path.string(), std::filesystem::exists(path, failed) ? "is not an ordinary file"
                                                                        : "there is no such file");
  }
  std::ifstream file(path, std::ios::binary);
  if (!file) return failure(path.string(), "no permission to read it");
  const std::string text(std::istreambuf_iterator<char>(file), {});
  return parse(text, path.string());
}

const NotedPlate* SettingsList::find(const std::filesystem::path& scan) const {
  auto found = by_file_.find(scan.string());
  if (found == by_file_.end()) found = by_file_.find(scan.filename().string());
  return found == by_file_.end() ? nullptr : &found->second;
}

}  // namespace platewise::cli
