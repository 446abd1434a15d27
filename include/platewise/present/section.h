#pragma once

#include <span>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise {

// One part of a plate's report. To add one:
//   1. write src/present/sections/<section>.cpp with its body_html;
//   2. declare it in src/present/sections/sections.h and add its line to src/present/section_table.cpp, in
//      reading order;
//   3. put its words into src/present/words.cpp.
// A test checks that every section shows up in a report with an id of its own and loads nothing.
struct Section {
  std::string_view id;     // anchor in the page, lower case
  std::string_view title;  // heading
  bool (*applies)(const PlateScore&);
  Result<std::string> (*body_html)(const PlateScore&);
};

[[nodiscard]] std::span<const Section> report_sections();

}  // namespace platewise
