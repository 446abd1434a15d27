#pragma once

#include <cassert>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/csv.h"
#include "platewise/core/names.h"

namespace platewise {

// A table that was compiled in; it was checked by the tests, so a fault in it is a bug.
[[nodiscard]] inline Csv compiled_table(std::string_view text, const char* name) {
  Result<Csv> csv = parse_csv(text, name);
  assert(csv.has_value());
  return std::move(*csv);
}

template <class E>
[[nodiscard]] E word(const std::string& cell) {
  const auto value = from_name<E>(cell);
  assert(value.has_value());
  return *value;
}

[[nodiscard]] inline std::vector<std::string> words(const std::string& cell, char separator) {
  std::vector<std::string> list;
  std::size_t start = 0;
  while (start < cell.size()) {
    std::size_t end = cell.find(separator, start);
    if (end == std::string::npos) end = cell.size();
    const std::size_t first = cell.find_first_not_of(' ', start);
    if (first < end) list.push_back(cell.substr(first, end - first));
    start = end + 1;
  }
  return list;
}

}  // namespace platewise
