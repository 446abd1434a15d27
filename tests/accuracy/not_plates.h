#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "accuracy/photographs.h"

namespace platewise::heldout {

// A picture that is no plate, and what it is.
struct NotAPlate {
  PictureFile file;
  std::string what;
};

// The index-th of a seed: photographs, pages of text, screens, empty scanner beds, noise, ramps, a drawn cat,
// receipts, charts; going round in that order.
[[nodiscard]] NotAPlate not_a_plate(std::uint64_t seed, int index,
                                    const std::vector<std::filesystem::path>& photographs);

}  // namespace platewise::heldout
