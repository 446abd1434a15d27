#pragma once

#include "platewise/core/names.h"

namespace platewise {

// The words for a plate, its sides and how it was scanned; spelled as the JSON contract spells them.

// Positives (tintype on black metal, ambrotype on glass over a black backing) lighten where silver
// lies; a negative on glass darkens by transmitted light.
enum class PlateKind { tintype, ambrotype, negative };
template <>
struct Names<PlateKind> {
  static constexpr std::string_view all[] = {"tintype", "ambrotype", "negative"};
};
[[nodiscard]] constexpr bool is_positive(PlateKind kind) {
  return kind != PlateKind::negative;
}

enum class Light { reflected, transmitted };
template <>
struct Names<Light> {
  static constexpr std::string_view all[] = {"reflected", "transmitted"};
};

enum class Backing { black, none };
template <>
struct Names<Backing> {
  static constexpr std::string_view all[] = {"black", "none"};
};

enum class PlateState { wet, dry, varnished };
template <>
struct Names<PlateState> {
  static constexpr std::string_view all[] = {"wet", "dry", "varnished"};
};

// Which side faced the scanner. Corners and edges are named as seen on the film side.
enum class Side { film, glass };
template <>
struct Names<Side> {
  static constexpr std::string_view all[] = {"film", "glass"};
};

enum class Corner { top_left, top_right, bottom_right, bottom_left };
template <>
struct Names<Corner> {
  static constexpr std::string_view all[] = {"top_left", "top_right", "bottom_right", "bottom_left"};
};

enum class Edge { top, right, bottom, left };
template <>
struct Names<Edge> {
  static constexpr std::string_view all[] = {"top", "right", "bottom", "left"};
};

}  // namespace platewise
