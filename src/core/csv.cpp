#include "platewise/core/csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

namespace platewise {
namespace {

// Reads one record at a time and remembers the line it began on.
class Reader {
 public:
  explicit Reader(std::string_view text) : text_(text) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text_.starts_with(kByteOrderMark)) text_.remove_prefix(kByteOrderMark.size());
  }

  [[nodiscard]] bool at_end() const { return at_ >= text_.size(); }
  [[nodiscard]] int line() const { return line_; }
  [[nodiscard]] bool quote_left_open() const { return quoted_; }

  std::vector<std::string> record() {
    std::vector<std::string> cells(1);
    for (; !at_end(); ++at_) {
      if (ends_record(cells)) break;
    }
    return cells;
  }

  // True when the line is a comment or empty, which is then behind us.
  bool skip_idle_line() {
    const std::string_view rest = text_.substr(at_);
    if (rest.front() != '#' && rest.front() != '\n' && rest.front() != '\r') return false;
    const std::size_t end = rest.find('\n');
    at_ = end == std::string_view::npos ? text_.size() : at_ + end + 1;
    ++line_;
    return true;
  }

 private:
  bool ends_record(std::vector<std::string>& cells) {
    const char c = text_[at_];
    if (c == '\n') ++line_;
    if (quoted_) {
      if (c != '"') {
        cells.back() += c;
      } else if (text_.substr(at_ + 1).starts_with('"')) {
        cells.back() += '"';
        ++at_;
      } else {
        quoted_ = false;
      }
      return false;
    }
    if (c == '\n') {
      ++at_;
      return true;
    }
    if (c == '"' && cells.back().empty()) {
      quoted_ = true;
    } else if (c == ',') {
      cells.emplace_back();
    } else if (c != '\r') {
      cells.back() += c;
    }
    return false;
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
  bool quoted_ = false;
};

}  // namespace

bool Csv::has(std::string_view column) const {
  return std::find(header.begin(), header.end(), column) != header.end();
}

const std::string& Csv::cell(std::size_t row, std::string_view column) const {
  const auto found = std::find(header.begin(), header.end(), column);
  assert(found != header.end() && row < rows.size());
  return rows[row][static_cast<std::size_t>(found - header.begin())];
}

Result<Csv> parse_csv(std::string_view text, const std::string& where) {
  Csv csv;
  Reader reader(text);
  while (!reader.at_end()) {
    if (reader.skip_idle_line()) continue;
    const int line = reader.line();
    std::vector<std::string> cells = reader.record();
    if (reader.quote_left_open()) {
      return failure(where, fmt::format("the quote opened on line {} is never closed", line),
                     "close it, or double a quote that belongs to the text");
    }
    if (csv.header.empty()) {
      csv.header = std::move(cells);
    } else if (cells.size() != csv.header.size()) {
      return failure(
          where,
          fmt::format("line {} has {} cells, the header has {}", line, cells.size(), csv.header.size()),
          "put quotes round text that holds commas");
    } else {
      csv.rows.push_back(std::move(cells));
    }
  }
  if (csv.header.empty()) return failure(where, "holds no header line");
  return csv;
}

}  // namespace platewise
