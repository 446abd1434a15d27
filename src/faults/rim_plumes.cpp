#include "rim_plumes.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kLeastLift = 0.02;  // D; less is no fault anybody would see
constexpr double kLeastSigmas = 4.0;
constexpr std::size_t kFewestDepths = 5;  // of a rim that shows which way a plume runs
constexpr double kMostTurn = 1.2;         // along per unit inward: 50 degrees
constexpr double kLeastLevel = 0.04;      // D
// Twelve sigma or so: the scatter is known from this one rim, and film that ends within the rim lifts too.
constexpr double kLargestLog10Nfa = -30.0;
constexpr double kLongestGapUnits = 2.0;
constexpr double kShortestUnits = 3.0;
constexpr double kOpenUnits = 1.5;
constexpr double kHardestUnits = 2.0;    // a plume's hard side: from its peak down to a quarter
constexpr double kLeastSoftUnits = 1.5;  // and its soft side: down to a half
constexpr double kSoftPerHard = 1.5;
constexpr double kBesideUnits = 15.0;  // two plumes so near each other are lobes of a stain

struct Run {
  std::size_t first = 0;
  std::size_t last = 0;
};

std::vector<Run> runs_of(const std::vector<RimPlace>& places, double threshold) {
  std::vector<Run> runs;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (places[i].lift < threshold) continue;
    if (!runs.empty() && places[i].along - places[runs.back().last].along <= kLongestGapUnits)
      runs.back().last = i;
    else
      runs.push_back({i, i});
  }
  return runs;
}

template <class Value>
std::vector<double> values_of(const std::vector<RimPlace>& places, const Run& run, Value value) {
  std::vector<double> values;
  for (std::size_t i = run.first; i <= run.last; ++i) values.push_back(value(places[i]));
  return values;
}

RimPlume stretch(const RimSide& side, const Run& run) {
  const auto& places = side.places;
  RimPlume plume{.side = side.side, .from = places[run.first].along, .to = places[run.last].along};
  plume.outer = median(values_of(places, run, [](const RimPlace& p) { return p.outer; }));
  plume.inner = median(values_of(places, run, [](const RimPlace& p) { return p.inner; }));
  return plume;
}

// Units from the peak until the lift is first below `level`, walking by `step`; a large number where the rim
// ends before.
double falls_within(const std::vector<RimPlace>& places, std::size_t peak, int step, double level) {
  auto i = static_cast<std::ptrdiff_t>(peak);
  while (places[static_cast<std::size_t>(i)].lift >= level) {
    const auto next = i + step;
    if (next < 0 || next >= static_cast<std::ptrdiff_t>(places.size()) ||
        std::abs(places[static_cast<std::size_t>(next)].along - places[static_cast<std::size_t>(i)].along) >
            kOpenUnits)
      return 1e3;
    i = next;
  }
  return std::abs(places[static_cast<std::size_t>(i)].along - places[peak].along);
}

// The place with the greatest lift that three in a row reach, so that a speck does not count.
std::size_t peak_of(const std::vector<RimPlace>& places, const Run& run) {
  std::size_t peak = run.first;
  double most = -1e9;
  for (std::size_t i = std::max<std::size_t>(1, run.first); i <= run.last && i + 1 < places.size(); ++i) {
    const double inner = std::max(places[i - 1].lift, places[i + 1].lift);
    const double reached = std::min(places[i].lift, inner);
    if (reached > most) {
      most = reached;
      peak = i;
    }
  }
  return peak;
}

double silver_at(const RimPlace& place, double depth) {
  const auto k = std::lround((depth - place.outer) / kRimDepthUnits);
  return k < 0 || k >= static_cast<std::ptrdiff_t>(place.profile.size())
             ? std::nan("")
             : place.profile[static_cast<std::size_t>(k)];
}

// Where the plume's silver falls through a half on its hard side, at one depth; NaN where that isn't seen.
double hard_at(const std::vector<RimPlace>& places, std::size_t peak, int toward_hard, double depth) {
  const auto count = static_cast<std::ptrdiff_t>(places.size());
  const auto start = static_cast<std::ptrdiff_t>(peak);
  const auto value = [&](std::ptrdiff_t i) {
    return i < 0 || i >= count ? std::nan("") : silver_at(places[static_cast<std::size_t>(i)], depth);
  };
  constexpr std::ptrdiff_t kReach = 6;  // places
  double most = 0.0;
  std::ptrdiff_t from = start;
  for (std::ptrdiff_t i = start - kReach; i <= start + kReach; ++i)
    if (value(i) > most) {
      most = value(i);
      from = i;
    }
  for (std::ptrdiff_t i = from; std::abs(i - from) <= kReach; i += toward_hard) {
    const double here = value(i);
    const double next = value(i + toward_hard);
    if (std::isnan(here) || std::isnan(next)) return std::nan("");
    if (next >= 0.5 * most) continue;
    const double share = (here - 0.5 * most) / std::max(1e-9, here - next);
    return places[static_cast<std::size_t>(i)].along + toward_hard * share * kRimStepUnits;
  }
  return std::nan("");
}

bool place_hard_side(RimPlume& plume, const std::vector<RimPlace>& places, std::size_t peak) {
  std::vector<double> depths;
  std::vector<double> hards;
  for (double depth = places[peak].outer; depth <= places[peak].inner; depth += kRimDepthUnits) {
    const double hard = hard_at(places, peak, plume.hard_at_from ? -1 : 1, depth);
    if (std::isnan(hard)) continue;
    depths.push_back(depth);
    hards.push_back(hard);
  }
  if (depths.size() < kFewestDepths) return false;
  const RobustLine line = robust_line(depths, hards);
  plume.turn = std::clamp(line.slope, -kMostTurn, kMostTurn);
  plume.hard = median(hards) - plume.turn * median(depths);
  return true;
}

bool shape_plume(RimPlume& plume, const std::vector<RimPlace>& places, const Run& run) {
  const std::size_t peak = peak_of(places, run);
  const double most = places[peak].lift;
  const double before = falls_within(places, peak, -1, 0.25 * most);
  const double after = falls_within(places, peak, 1, 0.25 * most);
  const double hard = std::min(before, after);
  plume.hard_at_from = before < after;
  const double soft = falls_within(places, peak, plume.hard_at_from ? 1 : -1, 0.5 * most);
  if (hard > kHardestUnits || soft < std::max(kLeastSoftUnits, kSoftPerHard * hard)) return false;
  // Where the soft side is as even as a plateau and then ends, it does not fade.
  const double faded = falls_within(places, peak, plume.hard_at_from ? 1 : -1, 0.25 * most);
  if (faded < 1e2 && faded < 1.25 * soft) return false;
  plume.level = most;
  const double end = plume.hard_at_from ? plume.to : plume.from;
  plume.width = faded < 1e2 ? faded : std::abs(end - places[peak].along);
  return place_hard_side(plume, places, peak);
}

bool overlap(const RimPlume& a, const RimPlume& b, double beside) {
  return a.side == b.side && a.from < b.to + beside && a.to > b.from - beside;
}

void add_lifted(std::vector<RimPlume>& plumes, const RimBand& band, const RimSide& side, double log10_tests) {
  const double threshold = std::max(kLeastLift, kLeastSigmas * band.scatter);
  for (const Run& run : runs_of(side.places, threshold)) {
    RimPlume plume = stretch(side, run);
    if (plume.to - plume.from < kShortestUnits) continue;
    const bool known = shape_plume(plume, side.places, run);
    plume.log10_nfa = log10_tests + log10_normal_tail(plume.level / band.scatter);
    if (known && plume.level >= kLeastLevel && plume.log10_nfa <= kLargestLog10Nfa) plumes.push_back(plume);
  }
}

}  // namespace

std::vector<RimPlume> rim_plumes(const RimBand& band) {
  std::size_t count = 0;
  for (const RimSide& side : band.sides) count += side.places.size();
  const double log10_tests = 2.0 * std::log10(static_cast<double>(count));
  std::vector<RimPlume> plumes;
  for (const RimSide& side : band.sides) add_lifted(plumes, band, side, log10_tests);
  const std::vector<RimPlume> all = plumes;
  std::erase_if(plumes, [&](const RimPlume& plume) {
    return std::count_if(all.begin(), all.end(),
                         [&](const RimPlume& other) { return overlap(plume, other, kBesideUnits); }) > 1;
  });
  return plumes;
}

}  // namespace platewise
