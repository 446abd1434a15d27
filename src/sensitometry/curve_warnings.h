#pragma once

#include "platewise/sensitometry/fit_curve.h"

namespace platewise {

// Says where the steps did not reach, and what rests on a usual value. `strongest`: log exposure of the
// strongest step; `reach`: of the average gradient.
void add_curve_warnings(PlateCurve& curve, const CurveOptions& options, double strongest, double reach);

}  // namespace platewise
