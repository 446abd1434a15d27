#pragma once

#include <Eigen/Core>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"

namespace platewise {

// What may be wrong with all densities of one plate together. The error of a density D is
//   e(D) = offset + slope * D + flare / (ln 10 * signal(D)) + local,      signal(D) = 10^-(D - added)
// offset: exposure of the scanner; slope: tone curve not the profile's, or a material that scatters otherwise
// than the wedge; flare: stray light, as a share of full scale, that was not taken off. The three are
// common to the whole plate, so a difference keeps only what changes between its two densities. `local` is
// the device curve's own error: densities closer than about a wedge step share it. Two more are each
// density's own: rounding of code values, which weighs more in the darks (codes follow signal^(1/2.2)), and
// light that fell unevenly over the plate.
struct DensityErrors {
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  // of offset, slope, flare
  double local_u = 0.0;
  double code_u = 0.0;   // of a code value, full scale 1: rounding and compression
  double place_u = 0.0;  // of density between one place and another
  double added = 0.0;    // the offset that was added to -log10(signal)
};

// Standard uncertainty of a density, and of `a - b`, from these errors alone.
[[nodiscard]] double u_at(const DensityErrors& errors, double density);
[[nodiscard]] double u_of_difference(const DensityErrors& errors, double a, double b);

// What is known of an uncalibrated scanner or camera before anything pulled its offset. All common practice,
// no source, but the slope of scanners: densities 15 % low were published for one (density_practice.json).
struct ScannerPrior {
  double offset_u = 0.25;
  double slope_u = 0.05;
  Quantity flare{0.003, 0.003};  // share of full scale, cut off at 0: 0.1 to 1 % are usual
};
[[nodiscard]] ScannerPrior scanner_prior(Light light, bool photo);
[[nodiscard]] DensityErrors errors_of(const ScannerPrior& prior);

// Pulls the offset by one patch of known density. `measured` is its density so far, with the u of the
// reading; `known` is what it must be. Returns what to add to all densities; only the offset is moved, slope
// and flare are considered with their u (Schmidt 1966, the "considered" parameters of a Kalman filter).
struct Pulled {
  double shift = 0.0;
  DensityErrors errors;
};
[[nodiscard]] Pulled pulled_by(const DensityErrors& errors, Quantity measured, Quantity known);

}  // namespace platewise
