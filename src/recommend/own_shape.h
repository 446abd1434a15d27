#pragma once

#include <vector>

#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

// The photographer's own characteristic curve as a share of its height, F(x) from 0 (no light) to 1 (all that
// the material gives), x in log10 exposure on the curve's own axis. It is the curve's model plus what its
// steps stray from it on the whole (weighted by nearness), so that a shoulder of another form than the
// model's, on which the highlights lie, is followed and not smoothed away. Beyond the steps the model goes
// on.
class OwnShape {
 public:
  explicit OwnShape(const PlateCurve& curve);

  [[nodiscard]] double share(double log_exposure) const;
  [[nodiscard]] double log_exposure_for(double share) const;  // within the table's ends
  [[nodiscard]] double fog() const { return fog_; }
  // Silver, fog included. Its u is that of the steps about the curve: what the scanner errs by on all of them
  // falls out against a plate from the same scanner. Without steps, or where the wedge's strongest exposure
  // did not reach the limit, it is that of the curve's own strongest density, and more.
  [[nodiscard]] Quantity largest() const { return largest_; }

 private:
  double first_ = 0.0;
  std::vector<double> shares_;  // rising
  double fog_ = 0.0;
  Quantity largest_;
};

}  // namespace platewise
