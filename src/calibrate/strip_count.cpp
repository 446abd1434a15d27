#include "strip_count.h"

#include <algorithm>

namespace platewise {
namespace {

// Clearness that a border adds (drawn strip plates, seeds 70000 to 70015): true ones 2.6 and more, chance at
// most 0.9. In units of the picture's own noise.
constexpr double kPerhaps = 1.5;
constexpr double kPlainly = 3.0;
constexpr double kNothing = 1.0;
constexpr double kSeen = 0.6;  // gain of one border; where there is none it is about zero
// Beyond so strong a border the next strip shows too: toes and shoulders take ten times less at most.
constexpr double kStrong = 12.0;
constexpr int kStripsLeast = 3;
constexpr int kStripsMost = 14;

StripBorders borders_of(const cv::Mat& picture, int strips, int rise) {
  return strip_borders(picture, std::vector<int>(static_cast<std::size_t>(strips) - 1, rise));
}

std::ptrdiff_t seen_borders(const StripBorders& borders) {
  return std::count_if(borders.gains.begin(), borders.gains.end(), [](double gain) { return gain > kSeen; });
}

}  // namespace

StripCount count_strips(const cv::Mat& picture, int listed, int rise) {
  StripBorders here = borders_of(picture, listed, rise);
  int seen = listed;
  double best_step = 0.0;
  for (; seen < kStripsMost; ++seen) {
    const StripBorders more = borders_of(picture, seen + 1, rise);
    const double step = more.clearness - here.clearness;
    if (step < kPerhaps || seen_borders(more) <= seen_borders(here)) break;
    best_step = std::max(best_step, step);
    here = more;
  }
  if (seen > listed) return {seen, best_step > kPlainly};
  const double clearness = here.clearness;
  for (int strips = listed - 1; strips >= kStripsLeast; --strips) {
    const StripBorders fewer = borders_of(picture, strips, rise);
    if (clearness - fewer.clearness > kNothing * (listed - strips)) continue;
    here = fewer;
    seen = strips;
  }
  const double weaker_end = std::min(here.gains.front(), here.gains.back());
  return {seen, seen < listed && weaker_end > kStrong};
}

}  // namespace platewise
