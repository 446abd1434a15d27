#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "accuracy/photographs.h"
#include "accuracy/random.h"
#include "platewise/density/device_curve.h"

namespace platewise::heldout {

// A scanner: a veil of stray light, a gain, a tone curve that is not quite what the file claims, noise.
struct Scanner {
  double blur_px = 0.6;
  double veil = 0.004;        // share of the light that comes from around
  double veil_near_mm = 3.0;  // two widths, half each
  double veil_far_mm = 20.0;
  double gain = 0.9;
  double gamma = 1.0;  // recorded = gain * light^gamma + black
  double black = 0.0;
  double read_noise = 0.001;
  double shot_noise = 1e-5;  // variance for each unit of signal
};
[[nodiscard]] Scanner drawn_scanner(Random& random, bool deep);

// What the file will hold.
struct Encoding {
  int bits = 8;
  bool grey = false;
  bool profile = false;
  bool jpeg = false;
};

[[nodiscard]] PictureFile scanned(Random& random, const Scanner& scanner, const Encoding& encoding,
                                  const cv::Mat& light, double px_per_mm);

// The curve that a wedge scanned in the same scanner gives: steps of known density amid a mean surround, each
// measured with a small error. `material_u` is 0: in a rendering wedge and plate are of one stuff.
[[nodiscard]] DeviceCurve measured_device(Random& random, const Scanner& scanner, bool transmitted);

// A phone: uneven light, vignetting, white balance, its own tone curve, JPEG.
[[nodiscard]] PictureFile photographed_by_phone(Random& random, const cv::Mat& light);

}  // namespace platewise::heldout
