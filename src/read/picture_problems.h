#pragma once

#include <filesystem>
#include <string>

#include "platewise/core/result.h"
#include "platewise/read/formats.h"

namespace platewise {

// What the user is told when a file cannot be read, in a photographer's words.
[[nodiscard]] tl::unexpected<Problem> not_a_picture(const std::filesystem::path& path,
                                                    std::span<const std::byte> head);
[[nodiscard]] tl::unexpected<Problem> not_decodable(const std::filesystem::path& path, const Format& format,
                                                    const std::string& library_text);
[[nodiscard]] tl::unexpected<Problem> too_large(const std::filesystem::path& path, int width_px,
                                                int height_px, double pixels_max);

}  // namespace platewise
