#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/result.h"

namespace platewise {

// A CSV file with a header line, read into cells by column name (RFC 4180: quotes round cells with commas,
// quotes or line breaks; a quote inside is doubled). Lines starting with '#' and empty lines are left out.
struct Csv {
  std::vector<std::string> header;
  std::vector<std::vector<std::string>> rows;  // each as long as the header

  // The cell of a row; the column must be in the header.
  [[nodiscard]] const std::string& cell(std::size_t row, std::string_view column) const;
  [[nodiscard]] bool has(std::string_view column) const;
};

// Fails with a Problem naming `where` and the line when a row has more or fewer cells than the header, a
// quote is not closed, or there is no header.
[[nodiscard]] Result<Csv> parse_csv(std::string_view text, const std::string& where);

}  // namespace platewise
