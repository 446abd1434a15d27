#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/result.h"
#include "platewise/raster/image.h"

namespace platewise {

[[nodiscard]] std::string list_html(const std::vector<std::string>& items, std::string_view css_class = {});

// One row of a two-column table; both texts are escaped.
[[nodiscard]] std::string row_html(std::string_view name, std::string_view value);

// The picture as a data address for an <img>.
[[nodiscard]] Result<std::string> picture_address(const ColourPicture& picture);

}  // namespace platewise
