#pragma once

#include <vector>

#include "platewise/faults/evidence.h"
#include "platewise/faults/faults.h"
#include "platewise/faults/find_faults.h"

namespace platewise {

// Judges findings by another plate of the same scene: what both show at the same place of the scene belongs
// to the picture and is taken out; what the other does not show is believed more. Only findings that lie
// in the picture, compact enough to have an inside and a surround; faults of holder and hand (bare corners,
// frilling, marks of the rim) stand at the same place on every plate and are left alone.
//   The mark's contrast is the median of the silver inside its outline less that of the ring round it. The
//   other plate shows the mark where, within 0.6 units of the place, a contrast of the same sign and half the
//   size is found that is also greater than all at as many places farther off, up to 4 units: so that grain
//   and texture do not feign it.
// Returns how many were taken out.
[[nodiscard]] int judge_by_same_scene(std::vector<Fault>& faults, const Evidence& evidence,
                                      const SameScene& other);

}  // namespace platewise
