#include "file_facts.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <fstream>
#include <vector>

namespace platewise {
namespace {

// One entry of a TIFF directory (TIFF 6.0 section 2; BigTIFF has wider counts and offsets).
struct TiffEntry {
  unsigned tag = 0;
  std::uint64_t first_value = 0;
};

class TiffReader {
 public:
  explicit TiffReader(const std::filesystem::path& path) : file_(path, std::ios::binary) {
    std::array<char, 4> start{};
    file_.read(start.data(), start.size());
    little_endian_ = start[0] == 'I';
    big_tiff_ = start[2] == '+' || start[3] == '+';
  }

  [[nodiscard]] std::uint64_t first_directory() { return big_tiff_ ? number_at(8, 8) : number_at(4, 4); }

  // Empty when the directory lies outside the file.
  [[nodiscard]] std::vector<TiffEntry> directory_at(std::uint64_t offset) {
    constexpr std::uint64_t kEntriesAtMost = 512;  // more is damage; real files have some dozens
    const int count_bytes = big_tiff_ ? 8 : 2;
    const std::uint64_t entry_bytes = big_tiff_ ? 20 : 12;
    const std::uint64_t count = std::min(number_at(offset, count_bytes), kEntriesAtMost);
    std::vector<TiffEntry> entries;
    for (std::uint64_t i = 0; i < count; ++i)
      entries.push_back(entry_at(offset + count_bytes + i * entry_bytes));
    return entries;
  }

 private:
  [[nodiscard]] TiffEntry entry_at(std::uint64_t offset) {
    constexpr unsigned kShort = 3;
    const auto tag = static_cast<unsigned>(number_at(offset, 2));
    const auto type = static_cast<unsigned>(number_at(offset + 2, 2));
    const int offset_bytes = big_tiff_ ? 8 : 4;
    const std::uint64_t value_offset = offset + 4 + static_cast<std::uint64_t>(offset_bytes);
    const std::uint64_t count = number_at(offset + 4, offset_bytes);
    if (type != kShort) return {tag, number_at(value_offset, offset_bytes)};
    const bool fits = count * 2 <= static_cast<std::uint64_t>(offset_bytes);
    return {tag, number_at(fits ? value_offset : number_at(value_offset, offset_bytes), 2)};
  }

  [[nodiscard]] std::uint64_t number_at(std::uint64_t offset, int bytes) {
    std::array<unsigned char, 8> raw{};
    file_.clear();
    file_.seekg(static_cast<std::streamoff>(std::min<std::uint64_t>(offset, INT64_MAX)));
    file_.read(reinterpret_cast<char*>(raw.data()), bytes);
    if (!file_) return 0;
    std::uint64_t value = 0;
    for (int i = 0; i < bytes; ++i) {
      value = value << 8 | raw[static_cast<std::size_t>(little_endian_ ? bytes - 1 - i : i)];
    }
    return value;
  }

  std::ifstream file_;
  bool little_endian_ = true;
  bool big_tiff_ = false;
};

// Exif 2.3: exposure time, f-number, ISO, shutter speed, aperture, focal length, lens model. Scanners write
// make and model as well, so those prove nothing.
bool is_camera_tag(unsigned tag) {
  constexpr unsigned kTags[] = {0x829A, 0x829D, 0x8827, 0x9201, 0x9202, 0x920A, 0xA434};
  return std::find(std::begin(kTags), std::end(kTags), tag) != std::end(kTags);
}

FileFacts tiff_facts(const std::filesystem::path& path) {
  constexpr unsigned kBitsPerSample = 258, kPhotometric = 262, kResolutionUnit = 296, kExifDirectory = 34665;
  constexpr std::uint64_t kPalette = 3, kNoUnit = 1;
  TiffReader tiff(path);
  FileFacts facts;
  facts.bits = 1;  // TIFF's default when the tag is missing
  for (const auto& [tag, value] : tiff.directory_at(tiff.first_directory())) {
    if (tag == kBitsPerSample) facts.bits = static_cast<int>(std::min<std::uint64_t>(value, 64));
    if (tag == kPhotometric) facts.indexed_colours = value == kPalette;
    if (tag == kResolutionUnit) facts.resolution_is_only_a_ratio = value == kNoUnit;
    if (tag != kExifDirectory) continue;
    const std::vector<TiffEntry> exif = tiff.directory_at(value);
    facts.camera_exif = std::any_of(exif.begin(), exif.end(),
                                    [](const TiffEntry& entry) { return is_camera_tag(entry.tag); });
  }
  return facts;
}

// ISO/IEC 15948: the IHDR chunk lies first; bit depth is byte 24, colour type byte 25 of the file.
FileFacts png_facts(std::span<const std::byte> head) {
  constexpr std::size_t kBitDepth = 24, kColourType = 25;
  constexpr auto kPalette = std::byte{3};
  if (head.size() <= kColourType) return {};
  return {.bits = std::to_integer<int>(head[kBitDepth]), .indexed_colours = head[kColourType] == kPalette};
}

// ISO/IEC 15444-1 A.5.1: the SIZ marker; the first component's depth (less one) stands 40 bytes after it.
FileFacts jpeg2000_facts(std::span<const std::byte> head) {
  constexpr std::array kSiz = {std::byte{0xff}, std::byte{0x4f}, std::byte{0xff}, std::byte{0x51}};
  constexpr std::ptrdiff_t kDepthAfterStart = 42;
  const auto start = std::search(head.begin(), head.end(), kSiz.begin(), kSiz.end());
  if (head.end() - start <= kDepthAfterStart) return {};
  return {.bits = (std::to_integer<int>(start[kDepthAfterStart]) & 0x7f) + 1};
}

}  // namespace

FileFacts file_facts(const std::filesystem::path& path, std::string_view format,
                     std::span<const std::byte> head) {
  if (format == "tiff") return tiff_facts(path);
  if (format == "png") return png_facts(head);
  if (format == "jp2") return jpeg2000_facts(head);
  return {};
}

}  // namespace platewise
