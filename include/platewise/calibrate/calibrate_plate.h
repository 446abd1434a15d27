#pragma once

#include <optional>
#include <vector>

#include "platewise/calibrate/find_steps.h"
#include "platewise/calibrate/wedge.h"
#include "platewise/core/plate.h"
#include "platewise/density/device_curve.h"
#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

struct CalibratePlateOptions {
  PlateKind kind = PlateKind::tintype;
  Light light = Light::reflected;
  Backing backing = Backing::black;
  std::optional<DeviceCurve> device;        // else densities are -log10(signal), offset unknown
  std::optional<Scan> flat;                 // a blank sheet in the same light and framing
  std::optional<Quantity> support_density;  // bare support as measured on this plate, else its stated default
  std::optional<Quantity> unexposed;        // density of the coated rim that got no light, where measured
  std::optional<double> exposure_s;
  std::optional<double> development_s;
};

struct PlateCalibration {
  PlateCurve curve;
  FoundSteps found;  // where the steps or strips lie, strongest exposure first
};

// From a plate that was exposed through a step wedge and developed: bands, or a strip inside a picture.
// Log exposure of a step is the wedge's clearest density minus its own (blue density where the wedge has it,
// else the visual density with a warning: a blue-sensitive plate may have seen the wedge otherwise).
[[nodiscard]] Result<PlateCalibration> calibrate_plate(const Scan& scan, const Wedge& wedge,
                                                       const CalibratePlateOptions& options);

struct StripOptions {
  std::vector<double> times_s;     // whole exposure of each strip, in the order they lie from `from`
  Edge from = Edge::left;          // the side where the first strip lies
  std::optional<Quad> picture_px;  // round the strips, in the scan, upright; else they fill the frame
};

// From a strip plate: the dark slide was pulled in steps, each strip got the whole time listed for it. The
// strips may show a scene: only the change across each border, where both sides see the same light, is used.
// Log exposure is log10(time / longest time). Hand-timing and reciprocity make it less sure than a wedge:
// that is in shared_log_exposure_u and in the steps' u.
[[nodiscard]] Result<PlateCalibration> calibrate_strips(const Scan& scan, const StripOptions& strips,
                                                        const CalibratePlateOptions& options);

}  // namespace platewise
