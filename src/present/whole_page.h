#pragma once

#include <string>

namespace platewise {

// What fills the page that all reports share: one file that carries its style and script and loads nothing.
struct PageParts {
  std::string title;    // escaped
  std::string heading;  // escaped
  std::string skip;     // where the first link of the page leads, for those who read by ear
  std::string body;     // HTML
  std::string data;     // JSON that goes along for other programs
};
[[nodiscard]] std::string whole_page(const PageParts& parts);

}  // namespace platewise
