#include "file_end.h"

#include <fstream>
#include <iterator>
#include <string>

namespace platewise {

namespace {

std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

bool png_has_its_end(const std::filesystem::path& path) {
  return contents(path).find("IEND\xAE\x42\x60\x82") != std::string::npos;
}

bool jpeg_has_its_end(const std::filesystem::path& path) {
  const std::string bytes = contents(path);
  const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(bytes[at]); };
  // Segments before the first scan may hold a whole small picture with an end of its own: step over them.
  std::size_t at = 2;
  while (at + 4 <= bytes.size()) {
    if (byte(at) != 0xFF) return true;
    const unsigned char marker = byte(at + 1);
    if (marker == 0xFF) {
      ++at;
      continue;
    }
    const std::size_t length = 256U * byte(at + 2) + byte(at + 3);
    at += 2 + length;
    constexpr unsigned char kStartOfScan = 0xDA;
    if (marker == kStartOfScan) return bytes.find("\xFF\xD9", at) != std::string::npos;
  }
  return false;
}

}  // namespace platewise
