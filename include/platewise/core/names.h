#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

namespace platewise {

// Enumerators are spelled as the JSON contract spells them, and this is the one table that maps
// them: specialise Names<E> with `static constexpr std::string_view all[]` in enumerator order
// (enumerators count up from 0).
template <class E>
struct Names;

template <class E>
[[nodiscard]] constexpr std::string_view name_of(E value) {
  return Names<E>::all[static_cast<std::size_t>(value)];
}

template <class E>
[[nodiscard]] constexpr std::optional<E> from_name(std::string_view name) {
  std::size_t index = 0;
  for (std::string_view candidate : Names<E>::all) {
    if (candidate == name) return static_cast<E>(index);
    ++index;
  }
  return std::nullopt;
}

}  // namespace platewise
