#pragma once

#include <optional>
#include <string>

#include "platewise/tones/tones.h"

namespace platewise {

// The tones a positive will have when it is varnished, from those of a plate scanned wet or dry; the aims are
// a varnished plate's. Varnish darkens a dry positive a little, lights and black alike (common practice, no
// source for the amount: 0.04 D, standard uncertainty 0.03 D); the water on a wet one does much the same (0
// D, 0.03 D). Differences between tones of one plate (fog, range) stay, and so does a negative, whose density
// is transmitted.
[[nodiscard]] Tones as_varnished(const Tones& tones, PlateKind kind, PlateState state);

// Says what `as_varnished` reckons with; empty where it changes nothing.
[[nodiscard]] std::optional<std::string> varnish_remark(PlateKind kind, PlateState state);

}  // namespace platewise
