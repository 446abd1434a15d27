#pragma once

#include <vector>

#include "blob.h"

namespace platewise {

// What a spot looks like that the lens drew: a disc of any size blurred as the sharpest edges of this plate's
// picture are (picture_softness.h), measured as the spots of the plate are. A spot on the film itself is seen
// by the scanner alone, so its outline rises more steeply than that of any lens-drawn spot of its size.
class LensSpots {
 public:
  explicit LensSpots(double softness_px);

  // By how many sigma a spot's outline is steeper than the lens could draw one of its size, or the spot
  // smaller than the lens draws any: the greater of the two.
  [[nodiscard]] double steeper_by(const Blob& blob) const;

 private:
  // Of one disc, over where its middle lies between the pixels.
  struct Size {
    double half_radius_px = 0.0;
    double half_radius_u = 0.0;
    double edge = 0.0;
    double edge_u = 0.0;
  };
  [[nodiscard]] static Size size_of(double radius_px, double softness_px);
  [[nodiscard]] Size at(double half_radius_px) const;

  std::vector<Size> sizes_;  // rising radius
};

}  // namespace platewise
