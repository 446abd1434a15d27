#include "side_fits.h"

namespace platewise {
namespace {

constexpr double kIndependent_px = 6.0;  // neighbouring places along an edge tell the same: count one in six
constexpr double kEnds = 0.05;    // of a side left out at each end: corners are rounded, clipped, broken
constexpr double kBeyond = 0.15;  // of a side looked at beyond each corner: a plate's edge stops there

SideFit fit_of(const Side& side, bool outside_after, double from, double to, const EdgeWeights& weights) {
  const double length = to - from;
  const double inset = kEnds * length;
  SideFit fit;
  fit.log_likelihood_if_seen = (length - 2 * inset) / kIndependent_px * weights.supported;
  if (side.frame) return fit;
  const auto own = side.evidence.count(outside_after, from + inset, to - inset);
  fit.support = own.share();
  fit.log_likelihood =
      (own.supported * weights.supported + (own.asked - own.supported) * weights.unsupported);
  const double gap = 4.0 + 0.01 * length;
  const double continued =
      side.evidence.count(outside_after, from - gap - kBeyond * length, from - gap).supported +
      side.evidence.count(outside_after, to + gap, to + gap + kBeyond * length).supported;
  fit.going_on = continued * weights.supported / kIndependent_px;
  fit.log_likelihood = fit.log_likelihood / kIndependent_px - fit.going_on;
  return fit;
}

}  // namespace

Crossings crossings(const std::vector<Side>& level, const std::vector<Side>& steep) {
  Crossings crossing(level.size());
  for (std::size_t l = 0; l < level.size(); ++l) {
    for (const Side& side : steep)
      crossing[l].push_back(intersection(level[l].evidence.line(), side.evidence.line()));
  }
  return crossing;
}

SideFits side_fits(const std::vector<Side>& level, const std::vector<Side>& steep, const Crossings& crossing,
                   const EdgeWeights& level_weights, const EdgeWeights& steep_weights) {
  SideFits fits(level.size(), steep.size());
  for (const bool after : {false, true}) {
    for (std::size_t l = 0; l < level.size(); ++l) {
      for (std::size_t from = 0; from < steep.size(); ++from) {
        for (std::size_t to = from + 1; to < steep.size(); ++to) {
          fits.of_level(after, l, from, to) =
              fit_of(level[l], after, crossing[l][from].x, crossing[l][to].x, level_weights);
        }
      }
    }
    for (std::size_t s = 0; s < steep.size(); ++s) {
      for (std::size_t from = 0; from < level.size(); ++from) {
        for (std::size_t to = from + 1; to < level.size(); ++to) {
          fits.of_steep(after, s, from, to) =
              fit_of(steep[s], after, crossing[from][s].y, crossing[to][s].y, steep_weights);
        }
      }
    }
  }
  return fits;
}

}  // namespace platewise
