#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

namespace platewise {

// A small little-endian TIFF put together by hand (TIFF 6.0), for files that no careful program writes.
class TiffBytes {
 public:
  TiffBytes(int width, int height, int samples, int bits, std::string pixels) : pixels_(std::move(pixels)) {
    shorts(256, {width});
    shorts(257, {height});
    shorts(258, std::vector<int>(static_cast<std::size_t>(samples), bits));
    shorts(259, {1});
    shorts(262, {samples >= 3 ? 2 : 1});
    longs(273, {8});
    shorts(277, {samples});
    shorts(278, {height});
    longs(279, {static_cast<std::uint32_t>(pixels_.size())});
  }

  // Replaces the tag when it is there already.
  TiffBytes& shorts(int tag, const std::vector<int>& values) {
    std::string bytes;
    for (const int value : values) bytes += little_endian(static_cast<std::uint32_t>(value), 2);
    return put(tag, 3, static_cast<std::uint32_t>(values.size()), bytes);
  }
  TiffBytes& longs(int tag, const std::vector<std::uint32_t>& values) {
    std::string bytes;
    for (const std::uint32_t value : values) bytes += little_endian(value, 4);
    return put(tag, 4, static_cast<std::uint32_t>(values.size()), bytes);
  }
  TiffBytes& rational(int tag, std::uint32_t over, std::uint32_t under) {
    return put(tag, 5, 1, little_endian(over, 4) + little_endian(under, 4));
  }
  // A directory of Exif fields with these tags, each a rational 1/60.
  TiffBytes& exif(std::vector<int> tags) {
    exif_tags_ = std::move(tags);
    return *this;
  }
  TiffBytes& two_pages() {
    pages_ = 2;
    return *this;
  }

  [[nodiscard]] std::string bytes() const {
    std::string file = "II*" + std::string(1, '\0') + std::string(4, '\0') + pixels_;
    if (file.size() % 2 == 1) file += '\0';
    const std::uint32_t exif_at = static_cast<std::uint32_t>(file.size());
    if (!exif_tags_.empty()) file += exif_directory(exif_at);
    std::size_t link_at = 4;
    for (int page = 0; page < pages_; ++page) {
      file.replace(link_at, 4, little_endian(static_cast<std::uint32_t>(file.size()), 4));
      link_at = append_directory(file, exif_at);
    }
    return file;
  }

 private:
  struct Entry {
    int tag, type;
    std::uint32_t count;
    std::string value;
  };

  static std::string little_endian(std::uint32_t value, int bytes) {
    std::string text;
    for (int i = 0; i < bytes; ++i) text += static_cast<char>(value >> (8 * i) & 0xff);
    return text;
  }

  TiffBytes& put(int tag, int type, std::uint32_t count, const std::string& value) {
    std::erase_if(entries_, [tag](const Entry& entry) { return entry.tag == tag; });
    entries_.push_back({tag, type, count, value});
    std::sort(entries_.begin(), entries_.end(), [](const Entry& a, const Entry& b) { return a.tag < b.tag; });
    return *this;
  }

  static std::string field(const Entry& entry, std::uint32_t value) {
    return little_endian(static_cast<std::uint32_t>(entry.tag), 2) +
           little_endian(static_cast<std::uint32_t>(entry.type), 2) + little_endian(entry.count, 4) +
           little_endian(value, 4);
  }

  [[nodiscard]] std::string exif_directory(std::uint32_t at) const {
    const auto count = static_cast<std::uint32_t>(exif_tags_.size());
    std::string directory = little_endian(count, 2);
    const std::uint32_t value_at = at + 2 + 12 * count + 4;
    for (const int tag : exif_tags_) directory += field({tag, 5, 1, {}}, value_at);
    return directory + little_endian(0, 4) + little_endian(1, 4) + little_endian(60, 4);
  }

  // Returns where the link to the next directory stands.
  std::size_t append_directory(std::string& file, std::uint32_t exif_at) const {
    std::vector<Entry> entries = entries_;
    if (!exif_tags_.empty()) entries.push_back({34665, 4, 1, little_endian(exif_at, 4)});
    const auto at = static_cast<std::uint32_t>(file.size());
    std::string directory = little_endian(static_cast<std::uint32_t>(entries.size()), 2);
    const std::uint32_t values_at = at + 2 + 12 * static_cast<std::uint32_t>(entries.size()) + 4;
    std::string values;
    for (const Entry& entry : entries) {
      if (entry.value.size() <= 4) {
        std::string padded = entry.value + std::string(4 - entry.value.size(), '\0');
        directory += field(entry, 0);
        directory.replace(directory.size() - 4, 4, padded);
      } else {
        directory += field(entry, values_at + static_cast<std::uint32_t>(values.size()));
        values += entry.value;
      }
    }
    const std::size_t link_at = file.size() + directory.size();
    file += directory + std::string(4, '\0') + values;
    return link_at;
  }

  std::string pixels_;
  std::vector<Entry> entries_;
  std::vector<int> exif_tags_;
  int pages_ = 1;
};

}  // namespace platewise
