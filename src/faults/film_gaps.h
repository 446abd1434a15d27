#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// A connected place with less silver than round it, all or most of whose border is harder than the lens draws
// anything on this plate: film that is missing there.
struct FilmGap {
  cv::Mat inside;           // CV_8UC1, picture size
  double step = 0.0;        // silver, median across its border
  double hard_share = 0.0;  // of the border samples whose step could be measured
  int samples = 0;
  double log10_nfa = 0.0;  // by its hard border
  bool is_torn = false;    // seen by its tone and winding border, whatever can be measured of their hardness
};

// Pieces of the level sets of the plate's silver. A border sample is hard when its plain step (plain_step.h)
// is softer by no more than the share `kHarder` of the sharpest twentieth of the picture's own
// (picture_softness.h). By that at most one sample in twenty of the picture is, or as many as the borders of
// the lighter pieces of this very plate are, if more; so the number of hard samples among n has a binomial
// tail:
//   NFA = pieces looked at * P(binomial(n, share) >= hard).
// A hole in the picture with a border that winds to and fro all round, which hardly leaves a plain step to
// measure, is taken for torn by its tone: even, and of the picture not a thousandth as empty of silver.
// Empty when the picture has too few steps to say what the lens draws. Largest meaning first, no overlaps.
[[nodiscard]] std::vector<FilmGap> film_gaps(const Evidence& evidence, double largest_log10_nfa);

}  // namespace platewise
