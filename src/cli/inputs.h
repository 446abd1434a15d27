#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace platewise::cli {

// The scans that were named: a folder stands for the pictures directly in it, sorted by name. A picture is a
// file that begins like one or is called like one, so that a damaged one is still named as such; hidden files
// are left out. A folder that cannot be read or holds no picture stays itself: reading it says so, and the
// other inputs are still done.
[[nodiscard]] std::vector<std::filesystem::path> pictures_in(const std::vector<std::string>& named);

}  // namespace platewise::cli
