#pragma once

#include <vector>

#include "platewise/core/geometry.h"

namespace platewise {

// What tells a spot of the picture's own, drawn by the lens, from one that lies on the film.
struct SpotLook {
  Point at_units;
  double evenness = 0.0;  // as in spots.h
  double harder_by =
      0.0;  // sigma by which its outline is steeper than the lens draws one, as in lens_spots.h
};

// The spots this plate's picture shows of its own: buttons, leaves, letters, glints. Those that are much
// softer than the sharpest the lens draws are certainly among them: of marks on the film, under a lens as
// sharp as the scanner, hardly one is. Their number and the tail of their evenness (a power law, by Hill's
// estimate) say how many more of any evenness are to be expected, and one in ten of them looks as sharp as
// the sharpest twentieth of the picture's edges. Both are independent to the accuracy needed. The picture's
// spots keep company, in foliage, lace or type, where marks on the film lie anywhere: the picture's own are
// expected at a place as the square of the spots of any look round it over those in the mean.
class PictureSpots {
 public:
  // All spots of the plate that noise does not explain, and where they were looked for.
  PictureSpots(const std::vector<SpotLook>& spots, double area_units2);

  // log10 of how many spots of the picture's own are expected to be at least so even and so sharp.
  [[nodiscard]] double log10_expected(const SpotLook& spot) const;

 private:
  [[nodiscard]] double log10_company(Point at_units) const;

  std::vector<Point> places_;
  double area_units2_ = 1.0;
  double log10_count_ = 0.0;  // of at least the least evenness that is looked at
  double power_ = 0.0;        // the count falls with the evenness to this power
};

}  // namespace platewise
