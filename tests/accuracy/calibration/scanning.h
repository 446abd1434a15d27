#pragma once

#include "accuracy/calibration/photographer.h"
#include "platewise/stats/random.h"

namespace platewise::simulated {

// Linear light of one pixel as the photographer's scanner gives it back: specks, noise, code values.
[[nodiscard]] float scanned_pixel(const Photographer& who, double density, double speck_share,
                                  Random& random);

// The picture as the reader hands it on.
[[nodiscard]] Scan scan_of(const cv::Mat& light, const Photographer& who);

}  // namespace platewise::simulated
