#pragma once

#include <filesystem>
#include <string>

namespace platewise {

// SHA-256 (FIPS 180-4) of a file's bytes in lower-case hex; empty when it could not be read to its end.
[[nodiscard]] std::string sha256_of_file(const std::filesystem::path& path);

}  // namespace platewise
