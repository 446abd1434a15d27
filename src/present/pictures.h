#pragma once

#include <cstddef>

namespace platewise {

// How large the pictures of a report are, so that it stays quick to open and to send: one plate is shown at
// its best, thirty of them stay under 15 MB together.
struct PictureSizes {
  int stage_px = 1100;        // long side of the plate
  int crop_source_px = 2000;  // long side of the plate that crops are cut from
  int crop_px = 420;          // long side of a crop at most
  std::size_t crops = 36;     // on one plate; the worst faults get theirs first
};

[[nodiscard]] constexpr PictureSizes picture_sizes(std::size_t plates) {
  constexpr std::size_t kFew = 6;
  if (plates <= kFew) return {};
  return {.stage_px = 800, .crop_source_px = 1400, .crop_px = 240, .crops = 10};
}

}  // namespace platewise
