#pragma once

#include <opencv2/core.hpp>

#include "accuracy/random.h"
#include "platewise/core/plate.h"

namespace platewise::heldout {

// How the held-out plates answer to light: another family of curves than the project's own model, on purpose.
//   traced: net density of an iron-developed iodide plate as traced from Skladnikiewitz, Hertel & Schmidt
//   1998
//           (handbook numbers.csv), interpolated; on a positive the silver covers the black by the coverage
//           model R = Rs (1 - 10^-D) + Rb 10^-2D (handbook process.md 5d, common practice).
//   erf:    silver = amplitude/2 (1 + erf(sqrt(pi) gamma (x - middle) / amplitude)).
struct Process {
  PlateKind kind = PlateKind::tintype;
  bool traced = true;
  double support_density = 1.35;
  double silver_reflectance = 0.4;  // traced positives
  double strength = 1.0;            // development: multiplies the net density
  double chemical_fog = 0.03;       // net density everywhere on the film
  double highlight_x = 1.6;         // log exposure of the scene's 98th percentile, on the traced curve's axis
  double gamma = 1.4;               // erf
  double amplitude = 0.95;          // erf
};

// Broad: badly under-exposed to over-developed, about a third near right.
[[nodiscard]] Process drawn_process(Random& random, PlateKind kind);

// Density of the finished plate without grain for a map of log exposures relative to the scene's 98th
// percentile; CV_32FC1. Minus infinity (or anything below -8) is unexposed film.
[[nodiscard]] cv::Mat finished_density(const Process& process, const cv::Mat& log_exposure);

}  // namespace platewise::heldout
