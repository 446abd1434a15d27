#pragma once

#include <vector>

#include "rim_band.h"

namespace platewise {

// A stretch of the covered rim that carries silver it should not, hard on one side and fading to the other:
// light that came in through a gap. No light of the scene fell there. Units along its side.
struct RimPlume {
  Edge side = Edge::top;
  double from = 0.0;
  double to = 0.0;
  double level = 0.0;  // silver over the clean rim at its peak
  double outer = 0.0;  // of the rim there, from the plate's side
  double inner = 0.0;
  bool hard_at_from = false;
  double hard = 0.0;   // where its hard side meets the plate's side
  double turn = 0.0;   // how far its hard side runs along per unit inward
  double width = 0.0;  // from its hard side to where it has faded to a quarter
  double log10_nfa = 0.0;
};

// Chance is the scatter of this plate's own rim (rim_band.h):
//   NFA = places^2 * P(normal >= lift / scatter)
// Kept far below that only, see the constants in rim_plumes.cpp. Even bands, both ends alike, are not given:
// film that ends within the rim, and picture taken for rim, look as a stained edge does.
[[nodiscard]] std::vector<RimPlume> rim_plumes(const RimBand& band);

}  // namespace platewise
