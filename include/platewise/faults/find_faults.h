#pragma once

#include "platewise/density/plate_density.h"
#include "platewise/faults/faults.h"
#include "platewise/regions/regions.h"

namespace platewise {

struct FaultsOptions {
  PlateKind kind = PlateKind::tintype;
  bool millimetres = true;
};

// Finds the faults of a plate: evidence once, every detector proposes, and a candidate stays when its number
// of false alarms (Desolneux, Moisan & Morel 2000) is below 0.2 / (number of detectors), so that all together
// give at most 0.2 false faults on a clean plate. Causes, remedies and cautions come from the fault table.
// A warning names the faults a scan could show that no detector looks for.
[[nodiscard]] Faults find_faults(const PlateDensity& plate, const Regions& regions,
                                 const FaultsOptions& options);

}  // namespace platewise
