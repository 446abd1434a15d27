#include "film_gaps.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "border_turns.h"
#include "dark_places.h"
#include "edge_slivers.h"
#include "gap_outline.h"
#include "own_edges.h"
#include "plate_masks.h"
#include "platewise/stats/nfa.h"
#include "support_tone.h"

namespace platewise {
namespace {

constexpr double kHarder = 0.92;
constexpr double kSharpestPx = 1.0;  // of a scan, as plain_step.h measures it
constexpr double kAsSharp = 1.25;
constexpr double kMostAsDark = 0.01;
constexpr double kHardlyLighter = 0.02;  // density

// What is seen of a place.
struct Look {
  bool in_picture = false;
  double as_dark = 1.0;  // share of the picture (of the film, for a place in the rim) as empty of silver
  double as_dark_at_all = 1.0;    // with what is like it
  double as_dark_inside = 1.0;    // without the slivers along the plate's edge too
  double hardly_lighter = 1.0;    // with what is a little lighter
  double halfway = 1.0;           // share that is emptier than halfway up the step at its border
  std::optional<double> lens_px;  // how sharp the picture's own edges are; empty when it has too few
  int hard = 0;                   // border samples
  double as_hard = 1.0;           // share of the picture's own borders
};

// `fewest` plain steps, and a good part of the border; the rest may lie in a rim as dark, or in a busy
// picture.
bool is_measured(const GapBorder& border, int fewest) {
  constexpr double kMeasuredShare = 0.1;
  return border.measured() >= fewest && border.measured() >= kMeasuredShare * border.samples;
}

// A hole whose border winds so much that hardly a plain step can be measured along it: blisters and rips
// with folds of film between. Its tone must then be the plate's alone.
bool looks_torn(const DarkPlace& place, const Look& look, const GapGround& ground) {
  constexpr double kLeastSide = 2.5;  // units; the border of less does not turn often enough
  constexpr double kHardlyAny = 0.001;
  constexpr double kLeastTurnsPerUnit = 0.35;
  constexpr int kFewestTurns = 6;
  if (!look.in_picture || look.as_dark_at_all > kHardlyAny || look.hard < 1 ||
      std::min(place.window.width, place.window.height) < kLeastSide * ground.px_per_unit)
    return false;
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(place.inside.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  const auto longest = std::max_element(outlines.begin(), outlines.end(),
                                        [](const auto& a, const auto& b) { return a.size() < b.size(); });
  const BorderTurns turns = border_turns(
      *longest, [](cv::Point) { return true; }, ground.px_per_unit);
  return turns.to_and_fro >= kFewestTurns && turns.per_unit() >= kLeastTurnsPerUnit;
}

// Darker than the film that got no light at all, the rim.
bool is_below_rim(const DarkPlace& place, const Look& look, const GapGround& ground) {
  constexpr int kFewest = 3;
  constexpr double kLeastBelow = 0.012;  // density
  constexpr double kLeastUneven = 0.005;
  constexpr double kMostAsDarkBelow = 0.03;
  constexpr double kSoftestUnits = 0.15;
  if (!ground.rim_low || !is_measured(place.border, kFewest) || look.as_dark > kMostAsDarkBelow) return false;
  const double highest = place.tone.middle + std::max(kLeastUneven, 2.0 * place.tone.spread);
  return highest <= *ground.rim_low - kLeastBelow &&
         place.border.softness_px <=
             std::max(kSoftestUnits * ground.px_per_unit, kAsSharp * look.lens_px.value_or(kSharpestPx));
}

// In a picture without edges of its own, fog or a plain backdrop, the lens draws no hard one, and nothing
// reaches even halfway down to the support.
bool is_alone(const DarkPlace& place, const Look& look, const GapGround& ground) {
  constexpr int kFewest = 10;
  constexpr double kHardlyAny = 0.001;
  constexpr double kSoftestUnits = 0.12;
  return !look.lens_px && is_measured(place.border, kFewest) && look.halfway <= kHardlyAny &&
         place.border.softness_px <= std::max(kSoftestUnits * ground.px_per_unit, kAsSharp * kSharpestPx);
}

// The emptiest there is, with nothing nearly as empty, even as no picture is, and bounded as sharply as
// hardly any of the picture's edges.
bool is_emptiest(const DarkPlace& place, const Look& look, const GapGround& ground) {
  constexpr int kFewest = 6;
  constexpr double kLeastSide = 2.0;  // units; of the size of dust a hard border says little
  constexpr double kHardlyAny = 0.001;
  constexpr double kHardlyAnyLighter = 0.003;
  constexpr double kMostUneven = 0.004;
  constexpr double kMostSofter = 1.0;  // a lone dark thing of the scene may be as sharp as the lens draws
  // What is no emptier than a rim that was seen may be the rim: at the rounded corners of the opening.
  if (!look.in_picture && ground.rim_low) return false;
  return look.lens_px && is_measured(place.border, kFewest) && look.as_dark_inside <= kHardlyAny &&
         look.hardly_lighter <= kHardlyAnyLighter && place.tone.spread <= kMostUneven &&
         place.border.softness_px <= kMostSofter * std::max(*look.lens_px, kSharpestPx) &&
         std::min(place.window.width, place.window.height) >= kLeastSide * ground.px_per_unit;
}

// Harder than the lens draws, and empty as nothing else in the picture.
bool is_hard(const DarkPlace& place, const Look& look, const GapGround& ground) {
  constexpr int kFewest = 10;
  constexpr double kUneven = 0.012;  // density; a shadow is, bare support is not
  constexpr double kUnevenGrains = 2.5;
  if (place.tone.spread > std::max(kUneven, kUnevenGrains * ground.grain)) return false;
  constexpr double kLeastHard = 0.2;
  return is_measured(place.border, kFewest) && look.as_dark <= kMostAsDark &&
         look.hard >= kLeastHard * place.border.measured();
}

bool overlap(const DarkPlace& a, const DarkPlace& b) {
  const cv::Rect common = a.window & b.window;
  return !common.empty() &&
         cv::countNonZero(a.inside(common - a.window.tl()) & b.inside(common - b.window.tl())) > 0;
}

// A few other places of the same tone with borders as hard are like it whatever it is: a plate with one hole
// often has another. Many are the picture's. Empty when there are none.
cv::Mat its_like(const DarkPlace& place, const DarkPlaces& seen, const GapGround& ground) {
  constexpr std::ptrdiff_t kFew = 2;
  constexpr double kMostSofter = 1.2;
  std::vector<const DarkPlace*> like;
  for (const DarkPlace& other : seen.places) {
    if (other.tone.middle > place.tone.same() || place.tone.middle > other.tone.same() ||
        other.border.softness_px > kMostSofter * place.border.softness_px || overlap(other, place))
      continue;
    const auto same = std::find_if(like.begin(), like.end(),
                                   [&](const DarkPlace* known) { return overlap(*known, other); });
    if (same == like.end())
      like.push_back(&other);
    else if (other.window.area() > (*same)->window.area())
      *same = &other;
  }
  // Bare support at the plate's edge is everyday.
  if (std::count_if(like.begin(), like.end(), [](const DarkPlace* other) { return !other->at_edge; }) > kFew)
    return {};
  if (like.empty()) return {};
  cv::Mat inside = cv::Mat::zeros(ground.silver.size(), CV_8UC1);
  for (const DarkPlace* other : like) {
    const Surroundings round = surroundings(*other, inside.size(), ground.px_per_unit);
    inside(round.window) |= round.inside;
  }
  return inside;
}

Look look_at(const DarkPlace& place, const DarkPlaces& seen, const GapGround& ground,
             const Evidence& evidence, EdgeSlivers& slivers) {
  const cv::Mat its_own = its_like(place, seen, ground);
  const cv::Mat& at_edge = slivers.as_empty_as(place.tone.same());
  const cv::Mat like = its_own.empty() ? at_edge : its_own | at_edge;
  Look look;
  look.in_picture =
      2 * cv::countNonZero(place.inside & ground.picture(place.window)) > cv::countNonZero(place.inside);
  const cv::Mat& where = look.in_picture ? ground.second_picture : ground.second_film;
  const auto share = [&](const cv::Mat& but, double silver) {
    return share_as_dark(ground.second_smooth, where, but, place.inside, place.window, silver);
  };
  look.as_dark_at_all = share({}, place.tone.same());
  look.as_dark = its_own.empty() ? look.as_dark_at_all : share(every_second(its_own), place.tone.same());
  const cv::Mat second_like = every_second(like);
  look.as_dark_inside = share(second_like, place.tone.same());
  const OwnEdges own(evidence.picture_edges, seen.of_lighter,
                     surroundings(place, ground.silver.size(), ground.px_per_unit), like);
  look.lens_px = own.sharpest_px();
  look.hardly_lighter = share(second_like, place.tone.same() + kHardlyLighter);
  if (!look.lens_px) look.halfway = share(second_like, place.tone.middle + 0.5 * place.border.step);
  const double limit = kHarder * look.lens_px.value_or(0.0);
  look.hard =
      static_cast<int>(std::count_if(place.border.steps.begin(), place.border.steps.end(),
                                     [&](const PictureEdge& step) { return step.softness_px <= limit; }));
  look.as_hard = own.as_hard(limit);
  return look;
}

std::optional<FilmGap> gap_at(const DarkPlace& place, const Look& look, int looked_at,
                              const GapGround& ground, double largest_log10_nfa) {
  FilmGap gap;
  gap.samples = place.border.measured();
  gap.hard_share = static_cast<double>(look.hard) / std::max(1, gap.samples);
  gap.log10_nfa = log10_nfa(std::log10(std::max(1, looked_at)), gap.samples, look.hard, look.as_hard);
  const bool by_border = is_hard(place, look, ground) && gap.log10_nfa <= largest_log10_nfa;
  gap.by_tone =
      is_below_rim(place, look, ground) || is_alone(place, look, ground) || looks_torn(place, look, ground);
  // Only where nothing else tells: of a place that goes on into the rim its border finds the whole.
  if (!gap.by_tone && !by_border) gap.by_tone = is_emptiest(place, look, ground);
  if (!gap.by_tone && !by_border) return std::nullopt;
  gap.step = place.border.step;
  gap.inside = cv::Mat::zeros(ground.silver.size(), CV_8UC1);
  cut_where_steepest(place, ground).copyTo(gap.inside(place.window));
  gap.area_px = cv::countNonZero(gap.inside);
  return gap;
}

// Film tears in bits: a small place close beside a far larger one belongs to it.
bool is_bit_of(const FilmGap& larger, const FilmGap& gap, double px_per_unit) {
  constexpr double kSmaller = 0.25;
  constexpr double kCloseUnits = 1.5;
  if (gap.area_px > kSmaller * larger.area_px) return false;
  const int reach = 2 * static_cast<int>(std::lround(kCloseUnits * px_per_unit)) + 1;
  return cv::countNonZero(grown_by(gap.inside, cv::Mat::ones(reach, reach, CV_8U)) & larger.inside) > 0;
}

std::vector<FilmGap> gaps_apart(std::vector<FilmGap> gaps, double px_per_unit) {
  std::stable_sort(gaps.begin(), gaps.end(), [](const FilmGap& a, const FilmGap& b) {
    if (a.by_tone != b.by_tone) return a.by_tone;
    return a.by_tone ? a.area_px > b.area_px : a.log10_nfa < b.log10_nfa;
  });
  std::vector<FilmGap> kept;
  for (FilmGap& gap : gaps) {
    const bool overlaps = std::any_of(kept.begin(), kept.end(), [&](const FilmGap& k) {
      return cv::countNonZero(k.inside & gap.inside) > 0 || is_bit_of(k, gap, px_per_unit);
    });
    if (!overlaps) kept.push_back(std::move(gap));
  }
  return kept;
}

}  // namespace

std::vector<FilmGap> film_gaps(const Evidence& evidence, const GapGround& ground, double largest_log10_nfa) {
  constexpr double kRisesAllAlong = 0.6;
  const DarkPlaces seen = dark_places(ground);
  EdgeSlivers slivers(ground);
  std::vector<FilmGap> gaps;
  for (const DarkPlace& place : seen.places) {
    if (place.border.rising < kRisesAllAlong * place.border.samples) continue;
    const Look look = look_at(place, seen, ground, evidence, slivers);
    auto gap = gap_at(place, look, seen.looked_at, ground, largest_log10_nfa);
    if (gap) gaps.push_back(std::move(*gap));
  }
  return gaps_apart(std::move(gaps), ground.px_per_unit);
}

}  // namespace platewise
