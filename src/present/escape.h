#pragma once

#include <span>
#include <string>
#include <string_view>

namespace platewise {

// Text made safe for HTML and SVG, inside elements and in quoted attributes. Invalid UTF-8 and control
// characters become U+FFFD.
[[nodiscard]] std::string escaped(std::string_view text);

[[nodiscard]] std::string base64(std::span<const unsigned char> bytes);

}  // namespace platewise
