#pragma once

#include <cstddef>
#include <filesystem>
#include <vector>

#include "platewise/core/result.h"

namespace platewise {

// The first bytes of a file that can be read: an ordinary, non-empty, readable file. Never waits on a pipe
// or device: those are refused.
[[nodiscard]] Result<std::vector<std::byte>> checked_head(const std::filesystem::path& path);

}  // namespace platewise
