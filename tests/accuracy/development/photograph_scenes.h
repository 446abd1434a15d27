#pragma once

#include <filesystem>
#include <vector>

#include "platewise/raster/image.h"

namespace platewise::development {

// The photographs of a folder (scripts/development-photographs fills one; none of them is among those that
// the accuracy runs take), sorted by name.
[[nodiscard]] std::vector<std::filesystem::path> photographs_in(const std::filesystem::path& folder);

// One of them as a scene, mostly its blue channel, as wet collodion sees. Empty where it cannot be read.
[[nodiscard]] LinearImage photograph_scene(const std::filesystem::path& file, int long_side_px);

}  // namespace platewise::development
