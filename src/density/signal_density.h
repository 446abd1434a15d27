#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/quantity.h"
#include "platewise/density/device_curve.h"

namespace platewise {

// -log10(signal - flare) for every value (any channels). Below twice the flare the difference runs out
// smoothly above zero, so that noise cannot make it negative. NaN stays NaN.
[[nodiscard]] cv::Mat density_without_flare(const cv::Mat& signal, double flare);

// density_of(device, .) for every value of a one-channel picture, from a table of the curve.
[[nodiscard]] cv::Mat density_by_curve(const cv::Mat& signal, const DeviceCurve& device);

// What is left of the prior on flare once the darkest signal of the plate is known: flare lies between
// 0 and `darkest` (a Gaussian cut off at both ends).
[[nodiscard]] Quantity flare_below(Quantity prior, double darkest);

}  // namespace platewise
