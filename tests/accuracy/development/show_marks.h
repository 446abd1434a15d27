#pragma once

#include <filesystem>
#include <string>

#include "accuracy/development/drawn_plate.h"
#include "accuracy/fault_matching.h"

namespace platewise::development {

// Writes FOLDER/NAME.png, the plate as measured with true marks in green (missed: yellow; counting neither
// way: grey), findings red, blue where they hit, grey where they count neither way; and NAME-plain.png
// without.
void show_marks(const DrawnPlate& plate, const std::vector<accuracy::FoundMark>& found,
                const accuracy::Matching& matching, const std::filesystem::path& folder,
                const std::string& name);

}  // namespace platewise::development
