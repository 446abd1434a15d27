#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string_view>

namespace platewise {

// What a file's own header says that the picture library does not pass on.
struct FileFacts {
  int bits = 0;                  // of one sample as stored; 0 where not looked for
  bool indexed_colours = false;  // each pixel names one of a short list of colours
  bool resolution_is_only_a_ratio = false;
  bool camera_exif = false;  // TIFF only: exposure time, f-number, ISO, focal length or lens
};

// `format` is the name in the table of formats. Never fails: what cannot be read is left as it is.
[[nodiscard]] FileFacts file_facts(const std::filesystem::path& path, std::string_view format,
                                   std::span<const std::byte> head);

}  // namespace platewise
