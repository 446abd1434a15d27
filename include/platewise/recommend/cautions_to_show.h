#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/faults/faults.h"
#include "platewise/recommend/recommend.h"

namespace platewise {

// The cautions to show beside a plate's advice and faults: for the developer where its time changes, for the
// sitter and eyes where more light or longer poses are asked, for each chemical that an alternative names,
// for each fault's remedies; the dangerous pair first, the closing line last, each once. For a plate without
// any noted settings, which may be an old one, the conservator's line comes along. Empty where nothing calls
// for one.
[[nodiscard]] std::vector<std::string> cautions_to_show(const std::optional<Recommendation>& recommendation,
                                                        const Faults& faults, const PlateSettings& settings);

}  // namespace platewise
