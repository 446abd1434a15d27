#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise {

struct PictureSizes;  // src/present/pictures.h

// What a section tells about: one plate of the report.
struct SectionPlate {
  const PlateScore& score;
  std::size_t number = 1;  // in the report, from 1
  const PictureSizes& sizes;
};

// One part of a plate's report, under a heading of the third level; its own headings are <h4> and <h5>.
// To add one:
//   1. write src/present/sections/<section>.cpp with its body_html;
//   2. declare it in src/present/sections/sections.h and add its line to src/present/section_table.cpp, in
//      reading order;
//   3. put its words into src/present/words.cpp.
// A test checks that every section shows up in a report with an id of its own and loads nothing.
struct Section {
  std::string_view id;     // anchor in the page, lower case
  std::string_view title;  // heading
  bool (*applies)(const PlateScore&);
  Result<std::string> (*body_html)(const SectionPlate&);
};

[[nodiscard]] std::span<const Section> report_sections();

}  // namespace platewise
