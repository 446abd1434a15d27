#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace platewise {

// One kind of picture file. Files are known by their first bytes, never by their suffix.
// To add one:
//   1. a row in src/read/format_table.cpp: its name, what its first bytes look like, the library's loader;
//   2. a good and a corrupt file in test-images/formats/<name>/ (their test fails if they are missing).
struct Format {
  std::string_view name;                                // as its folder of test pictures is called
  std::string_view title;                               // as a user knows it
  std::string_view loader;                              // the picture library's operation
  bool (*recognises)(std::span<const std::byte> head);  // the first bytes, up to kHeadBytes
};

inline constexpr std::size_t kHeadBytes = 4096;

[[nodiscard]] std::span<const Format> formats();

// The format of a file that begins with `head`; null when there is none.
[[nodiscard]] const Format* format_of(std::span<const std::byte> head);

}  // namespace platewise
