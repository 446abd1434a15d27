#pragma once

#include <vector>

#include "rim_band.h"

namespace platewise {

// A stretch of the covered rim that carries silver it should not. No light of the scene fell there, so
// whatever lies there came with the holder, a finger, a liquid or stray light.
enum class RimStainKind {
  plume,    // one hard side, fading to the other: light that came in through a gap
  plateau,  // even, both ends alike: a band of stain
};

struct RimStain {
  RimStainKind kind = RimStainKind::plateau;
  Edge side = Edge::top;
  double from = 0.0;  // units along the side
  double to = 0.0;
  double level = 0.0;  // silver over the clean rim: median; of a plume its peak
  double outer = 0.0;  // of the rim there, from the plate's side
  double inner = 0.0;
  bool hard_at_from = false;  // of a plume
  double hard = 0.0;          // of a plume: where its hard side meets the plate's side, units along
  double turn = 0.0;          // of a plume: how far its hard side runs along per unit inward
  double width = 0.0;         // of a plume: from its hard side to where it has faded to a quarter
  bool open_from = false;     // runs on where the rim can't be seen
  bool open_to = false;
  double log10_nfa = 0.0;
};

// Chance is the scatter of this plate's own rim (rim_band.h):
//   NFA = places^2 * P(normal >= lift / scatter)
// Kept far below that only, and only in these two shapes; see the constants in rim_stains.cpp.
[[nodiscard]] std::vector<RimStain> rim_stains(const RimBand& band);

}  // namespace platewise
