#pragma once

#include <filesystem>
#include <optional>

#include "accuracy/development/drawn_plate.h"

namespace platewise::development {

// Plates kept on disk between two runs, so that only the detectors run again; as this machine writes numbers.
// Whoever changes drawing, density or regions deletes the folder.
void keep_plate(const DrawnPlate& plate, const std::filesystem::path& file);
[[nodiscard]] std::optional<DrawnPlate> kept_plate(const std::filesystem::path& file);

}  // namespace platewise::development
