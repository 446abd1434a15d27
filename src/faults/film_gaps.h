#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "dark_places.h"
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
  bool by_tone = false;    // seen by its tone, whatever can be measured of its border's hardness
  int area_px = 0;
};

// Places at level sets of the plate's silver whose border rises nearly all along, judged in one of five ways:
//   harder than the lens draws: a border sample is hard when its plain step (plain_step.h) is softer by no
//   more
//     than the share `kHarder` of the sharpest twentieth of the picture's own (own_edges.h), the place itself
//     left out. By that at most one sample in twenty is, or as many as the borders of the picture's lighter
//     places are, if more; so NFA = places looked at * P(binomial(n, share) >= hard). As empty as nothing
//     else.
//   below the rim: emptier than film that got no light at all can be, where a rim was seen.
//   alone: in a picture without edges of its own, which nowhere reaches halfway down to the place's tone.
//   emptiest: even, of the picture hardly anything as empty or nearly so, and as sharp as the picture's
//   sharpest
//     edges, the film's own edge along the plate's left out.
//   torn: a hole with a border that winds to and fro all round, which hardly leaves a plain step to measure,
//     even, and of the picture not a thousandth as empty.
// Those seen by tone alone first, the largest of them; then by meaning; no overlaps.
[[nodiscard]] std::vector<FilmGap> film_gaps(const Evidence& evidence, const GapGround& ground,
                                             double largest_log10_nfa);

}  // namespace platewise
