#include "film_gaps.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "border_turns.h"
#include "plain_step.h"
#include "platewise/stats/nfa.h"
#include "support_tone.h"

namespace platewise {
namespace {

constexpr int kLevels = 16;
constexpr double kLeastSideUnits = 1.5;  // smaller holes are pinholes and dust
constexpr double kLargestShare = 0.15;   // of the plate
constexpr double kPlateEdgeUnits = 0.7;  // bevel, shadow: no border is judged there
constexpr double kSharpestShare = 0.05;  // as in picture_softness.h
constexpr double kHarder = 0.92;
constexpr double kPriorSamples = 100.0;  // of the picture's borders, as hard as the sharpest share says
constexpr int kSamplePx = 4;             // neighbouring border pixels are not independent
constexpr double kLeastStepGrains = 8.0;
constexpr double kLeastStep = 0.015;  // density
constexpr double kMeasuredShare =
    0.1;  // of the border; the rest may lie in a rim as dark, or in a busy picture

struct Ground {
  cv::Mat silver;
  Rises rises;
  cv::Mat inner;  // of the plate, without its edge
  double softness_px = 1.0;
  double least_step = kLeastStep;
  double grain = 0.0;
  double dark = 0.0;  // silver that only the darkest tenth of the film has less of
  cv::Mat smooth;     // over 5 x 5 pixels
  cv::Mat film;
  cv::Mat picture;
  double px_per_unit = 1.0;
};

Ground ground_of(const Evidence& evidence, double softness_px) {
  Ground ground{.silver = evidence.plate_silver, .rises = Rises(evidence.plate_silver)};
  ground.softness_px = softness_px;
  ground.least_step = std::max(kLeastStep, kLeastStepGrains * evidence.grain);
  ground.grain = evidence.grain;
  const int margin = 2 * static_cast<int>(std::lround(kPlateEdgeUnits * evidence.px_per_unit)) + 1;
  cv::erode(evidence.regions->plate.inside, ground.inner,
            cv::getStructuringElement(cv::MORPH_RECT, {margin, margin}), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar(0));
  if (!evidence.regions->glare.empty()) ground.inner &= ~evidence.regions->glare.inside;
  cv::blur(ground.silver, ground.smooth, {5, 5}, {-1, -1}, cv::BORDER_REPLICATE);
  ground.film = evidence.film.inside;
  ground.picture = evidence.film.inside & evidence.regions->picture.inside;
  ground.px_per_unit = evidence.px_per_unit;
  constexpr double kDarkShare = 0.1;
  ground.dark = quantile_in(evidence.silver, evidence.film.inside, kDarkShare) + 2.0 * evidence.grain;
  return ground;
}

struct Border {
  int samples = 0;   // taken
  int measured = 0;  // with a plain step
  int hard = 0;
  std::vector<float> steps;
};

// A level's border lies at the foot of the step when the level is near the tone of the support: up to where
// it is steepest.
cv::Point steepest_near(const Ground& ground, cv::Point at, const cv::Rect& safe) {
  constexpr int kWalkPx = 4;
  for (int i = 0; i < kWalkPx; ++i) {
    cv::Point best = at;
    for (int y = -1; y <= 1; ++y)
      for (int x = -1; x <= 1; ++x)
        if (ground.rises.steepness(at + cv::Point(x, y)) > ground.rises.steepness(best))
          best = at + cv::Point(x, y);
    if (best == at || !safe.contains(best)) break;
    at = best;
  }
  return at;
}

void judge_sample(const Ground& ground, cv::Point at, const cv::Rect& safe, Border& border) {
  ++border.samples;
  const auto step = plain_step_at(ground.silver, ground.rises, steepest_near(ground, at, safe),
                                  ground.least_step, ground.grain);
  if (!step) return;
  ++border.measured;
  border.steps.push_back(static_cast<float>(step->height));
  border.hard += step->softness_px <= kHarder * ground.softness_px ? 1 : 0;
}

Border border_of(const cv::Mat& inside, cv::Rect window, const Ground& ground) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(inside.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE, window.tl());
  Border border;
  constexpr int kEdge = kStepReachPx + 2;
  const cv::Rect safe(kEdge, kEdge, ground.silver.cols - 2 * kEdge, ground.silver.rows - 2 * kEdge);
  for (const auto& outline : outlines)
    for (std::size_t i = 0; i < outline.size(); i += kSamplePx)
      if (safe.contains(outline[i]) && ground.inner.at<std::uint8_t>(outline[i]) != 0)
        judge_sample(ground, outline[i], safe, border);
  return border;
}

SupportTone tone_of(const cv::Mat& piece, cv::Rect window, const Ground& ground, double step) {
  return support_tone({ground.smooth, ground.film, ground.picture}, piece, window, step);
}

bool looks_bare(const SupportTone& tone) {
  constexpr double kMostAsDark = 0.01;
  return tone.is_even && tone.as_dark <= kMostAsDark;
}

// A hole whose border winds so much that hardly a plain step can be measured along it: blisters and rips
// with folds of film between. Its tone must then be the plate's alone.
bool looks_torn(const cv::Mat& piece, const SupportTone& tone, const Border& border, const Ground& ground) {
  constexpr double kLeastSide = 2.5;  // units; the border of less does not turn often enough
  constexpr double kMostAsDark = 0.001;
  constexpr double kLeastTurnsPerUnit = 0.35;
  constexpr int kFewestTurns = 6;
  if (!tone.is_even || !tone.in_picture || tone.as_dark > kMostAsDark || border.hard < 1 ||
      std::min(piece.cols, piece.rows) < kLeastSide * ground.px_per_unit)
    return false;
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(piece.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  const auto longest = std::max_element(outlines.begin(), outlines.end(),
                                        [](const auto& a, const auto& b) { return a.size() < b.size(); });
  const BorderTurns turns = border_turns(*longest, {{0, 0}, piece.size()}, ground.px_per_unit);
  return turns.to_and_fro >= kFewestTurns && turns.per_unit() >= kLeastTurnsPerUnit;
}

double median_step(Border& border) {
  const auto middle = border.steps.begin() + static_cast<std::ptrdiff_t>(border.steps.size() / 2);
  std::nth_element(border.steps.begin(), middle, border.steps.end());
  return *middle;
}

// What all levels together have seen.
struct Seen {
  int pieces = 0;  // of the size of a gap
  // Borders of pieces that the picture is full of.
  double hard = kPriorSamples * kSharpestShare;
  double measured = kPriorSamples;
};

std::vector<FilmGap> pieces_at(const Ground& ground, double level, double least_area, double largest_area,
                               double least_side, Seen& seen) {
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  cv::Mat below = (ground.silver < level) & ground.inner;
  const int side = std::max(3, 2 * static_cast<int>(least_side / 6.0) + 1);
  cv::morphologyEx(below, below, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}));
  const int count = cv::connectedComponentsWithStats(below, labels, stats, centres, 4, CV_32S);
  std::vector<FilmGap> gaps;
  for (int label = 1; label < count; ++label) {
    const double area = stats.at<int>(label, cv::CC_STAT_AREA);
    const cv::Rect window(stats.at<int>(label, cv::CC_STAT_LEFT), stats.at<int>(label, cv::CC_STAT_TOP),
                          stats.at<int>(label, cv::CC_STAT_WIDTH), stats.at<int>(label, cv::CC_STAT_HEIGHT));
    if (area < least_area || area > largest_area || std::min(window.width, window.height) < least_side)
      continue;
    ++seen.pieces;
    const cv::Mat piece = labels(window) == label;
    Border border = border_of(piece, window, ground);
    if (quantile_in(ground.silver(window), piece, 0.5) > ground.dark) {
      seen.hard += border.hard;
      seen.measured += border.measured;
      continue;
    }
    constexpr double kLeastHard = 0.2;
    if (border.measured == 0 || border.hard < kLeastHard * border.measured) continue;
    const double step = median_step(border);
    const SupportTone tone = tone_of(piece, window, ground, step);
    constexpr int kFewestSamples = 10;
    const bool is_measured =
        border.measured >= kFewestSamples && border.measured >= kMeasuredShare * border.samples;
    const bool is_torn = looks_torn(piece, tone, border, ground);
    if (!is_torn && !(is_measured && looks_bare(tone))) continue;
    FilmGap gap;
    gap.step = step;
    gap.is_torn = is_torn;
    gap.inside = cv::Mat::zeros(ground.silver.size(), CV_8UC1);
    piece.copyTo(gap.inside(window));
    gap.samples = border.measured;
    gap.hard_share = static_cast<double>(border.hard) / border.measured;
    gaps.push_back(std::move(gap));
  }
  return gaps;
}

}  // namespace

std::vector<FilmGap> film_gaps(const Evidence& evidence, double largest_log10_nfa) {
  if (!evidence.softness_px) return {};
  const Ground ground = ground_of(evidence, *evidence.softness_px);
  const double lowest = quantile_in(ground.silver, ground.inner, 0.0005);
  const double highest = quantile_in(ground.silver, ground.inner, 0.6);
  const double least_side = kLeastSideUnits * evidence.px_per_unit;
  std::vector<FilmGap> gaps;
  Seen seen;
  for (int i = 1; i <= kLevels; ++i) {
    const double level = lowest + (highest - lowest) * i / kLevels;
    auto pieces = pieces_at(ground, level, 0.5 * least_side * least_side,
                            kLargestShare * static_cast<double>(ground.silver.total()), least_side, seen);
    std::move(pieces.begin(), pieces.end(), std::back_inserter(gaps));
  }
  const double share = std::max(kSharpestShare, seen.hard / seen.measured);
  for (FilmGap& gap : gaps)
    gap.log10_nfa = log10_nfa(std::log10(std::max(1, seen.pieces)), gap.samples,
                              std::lround(gap.hard_share * gap.samples), share);
  std::erase_if(gaps, [&](const FilmGap& gap) { return !gap.is_torn && gap.log10_nfa > largest_log10_nfa; });
  std::stable_sort(gaps.begin(), gaps.end(),
                   [](const FilmGap& a, const FilmGap& b) { return a.log10_nfa < b.log10_nfa; });
  std::vector<FilmGap> kept;
  for (FilmGap& gap : gaps) {
    const bool overlaps = std::any_of(kept.begin(), kept.end(), [&](const FilmGap& k) {
      return cv::countNonZero(k.inside & gap.inside) > 0;
    });
    if (!overlaps) kept.push_back(std::move(gap));
  }
  return kept;
}

}  // namespace platewise
