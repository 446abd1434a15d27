#pragma once

#include <optional>

#include "platewise/core/geometry.h"
#include "platewise/density/plate_density.h"
#include "platewise/faults/evidence.h"
#include "platewise/faults/faults.h"
#include "platewise/regions/regions.h"

namespace platewise {

// The part of the picture that matters, in the plate's units.
struct SubjectBox {
  double x = 0.0;
  double y = 0.0;
  double width = 0.0;
  double height = 0.0;
};

// Another plate of the same scene and how it lies on this one (align/align.h), both in plate units.
struct SameScene {
  DensityImage image;
  Homography other_from_plate;
};

struct FaultsOptions {
  PlateKind kind = PlateKind::tintype;
  bool millimetres = true;
  Handling handling;                        // what is not given is taken to be usual, and said
  std::optional<SubjectBox> subject_units;  // raises the severity of what lies in it
  std::optional<SameScene> same_scene;      // what it shows too is no fault
};

// Finds the faults of a plate: evidence once, every detector proposes, and a candidate stays when its number
// of false alarms (Desolneux, Moisan & Morel 2000) is below 0.2 / (number of detectors that look at such a
// scan), so that all together give at most 0.2 false faults on a clean plate. Causes, remedies and cautions
// come from the fault table. A plate of the same scene takes out what belongs to the picture; a warning says
// how many. A warning names the faults a scan could show that no detector looks for.
[[nodiscard]] Faults find_faults(const PlateDensity& plate, const Regions& regions,
                                 const FaultsOptions& options);

}  // namespace platewise
