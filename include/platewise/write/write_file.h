#pragma once

#include <filesystem>
#include <string_view>

#include "platewise/core/result.h"

namespace platewise {

// Writes a whole file or nothing: the bytes go to a file beside `path`, which then takes its name, so that
// nobody ever sees half a file and a full disk leaves the old one as it was. A link is followed; a device
// or pipe (/dev/stdout) is written to directly. Missing folders are not made.
// Fails with a Problem naming the file when the folder is missing, not writable or full.
[[nodiscard]] Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

}  // namespace platewise
