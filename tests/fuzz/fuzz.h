#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace platewise::fuzz {

inline std::string_view text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

// What must hold of every input; a sanitizer build and a plain one stop alike.
inline void must(bool holds) {
  if (!holds) std::abort();
}

}  // namespace platewise::fuzz
