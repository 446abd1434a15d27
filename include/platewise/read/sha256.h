#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace platewise {

// SHA-256 (FIPS 180-4) of a file's bytes in lower-case hex; empty when it could not be read to its end.
[[nodiscard]] std::string sha256_of_file(const std::filesystem::path& path);

// The same of bytes in memory.
[[nodiscard]] std::string sha256_of_bytes(std::string_view bytes);

}  // namespace platewise
