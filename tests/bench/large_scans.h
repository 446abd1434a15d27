#pragma once

#include <filesystem>
#include <opencv2/core.hpp>

#include "platewise/core/result.h"

namespace platewise::bench {

enum class ScanKind { grey_16, rgb_16, jpeg_rgb_8, tiled_grey_8 };

// Writes a scan of an invented plate with about `megapixels` pixels, unless the file is already there: the
// plate rendered at the working resolution, enlarged and given noise, so that decoding has something to do.
[[nodiscard]] Result<void> make_scan(const std::filesystem::path& file, ScanKind kind, double megapixels);

}  // namespace platewise::bench
