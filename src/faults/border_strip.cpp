#include "border_strip.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kStepUnits = 0.5;
constexpr double kClearUnits = 0.5;      // the opening's penumbra, and light scattered from the picture
constexpr double kNarrowestUnits = 0.5;  // of the strip that is left: less can't be told from its borders
constexpr double kFilmEdgeUnits = 0.5;   // the film's own edge is thick or ragged
constexpr double kDeepestUnits = 12.0;
constexpr double kBandUnits = 2.0;       // of the outer band where no rim is seen
constexpr double kLeastLift = 0.03;      // D; less is no fault anybody would see
constexpr double kLeastScatter = 0.004;  // D, of a strip's places
constexpr double kLargestLog10Nfa = -2.0;
constexpr std::size_t kFewestPlaces = 20;
constexpr double kShortestUnits = 1.5;
constexpr double kBesideUnits = 1.0;

// Film clear of its own edge.
cv::Mat outer_film(const Evidence& evidence) {
  const Regions& regions = *evidence.regions;
  cv::Mat film = regions.film.inside & regions.plate.inside;
  const int edge = 2 * std::max(1, static_cast<int>(std::lround(kFilmEdgeUnits * evidence.px_per_unit))) + 1;
  cv::erode(film, film, cv::getStructuringElement(cv::MORPH_RECT, {edge, edge}), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  return film;
}

// The holder's opening with its penumbra.
cv::Mat opening_mask(const Evidence& evidence) {
  const Regions& regions = *evidence.regions;
  cv::Mat opening(evidence.silver.size(), CV_8UC1, cv::Scalar(0));
  std::vector<cv::Point> outline;
  for (const Point& p : *regions.image_area_units)
    outline.emplace_back(static_cast<int>(std::lround(p.x * evidence.px_per_unit)),
                         static_cast<int>(std::lround(p.y * evidence.px_per_unit)));
  cv::fillPoly(opening, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
  const int clear = 2 * std::max(1, static_cast<int>(std::lround(kClearUnits * evidence.px_per_unit))) + 1;
  cv::dilate(opening, opening, cv::getStructuringElement(cv::MORPH_RECT, {clear, clear}));
  return opening;
}

double median_of_range(std::vector<double>& values, std::size_t from, std::size_t to) {
  const auto begin = values.begin() + static_cast<std::ptrdiff_t>(from);
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>((from + to) / 2);
  std::nth_element(begin, middle, values.begin() + static_cast<std::ptrdiff_t>(to));
  return *middle;
}

std::optional<StripPlace> place_at(const Evidence& evidence, const cv::Mat& mask, Edge side, double along,
                                   double deepest_units, double widest_units) {
  const double k = evidence.px_per_unit;
  const int half = std::max(1, static_cast<int>(std::lround(0.5 * kStepUnits * k)));
  std::vector<double> inwards;
  std::vector<double> silver;
  const int deepest = static_cast<int>(deepest_units * k);
  for (int d = 0; d < deepest; ++d) {
    for (int a = -half; a <= half; ++a) {
      const cv::Point at(on_side(evidence, side, along + a / k, (d + 0.5) / k) * k);
      if (at.x < 0 || at.y < 0 || at.x >= mask.cols || at.y >= mask.rows || mask.at<std::uint8_t>(at) == 0)
        continue;
      if (!inwards.empty() && (d + 0.5) / k > inwards.front() + widest_units) continue;
      inwards.push_back((d + 0.5) / k);
      silver.push_back(static_cast<double>(evidence.silver.at<float>(at)));
    }
  }
  if (silver.size() < 8 || inwards.back() - inwards.front() < kNarrowestUnits) return std::nullopt;
  StripPlace place{.along = along, .outer = inwards.front(), .inner = inwards.back()};
  const std::size_t middle = silver.size() / 2;
  place.lift = std::min(median_of_range(silver, 0, middle), median_of_range(silver, middle, silver.size()));
  return place;
}

// Where the lift crosses `level` when walking from `start` in `step`s; the end of the strip if it never does.
std::size_t crossing(const std::vector<StripPlace>& places, std::size_t start, int step, double level) {
  auto i = static_cast<std::ptrdiff_t>(start);
  while (i + step >= 0 && i + step < static_cast<std::ptrdiff_t>(places.size()) &&
         places[static_cast<std::size_t>(i)].lift > level)
    i += step;
  return static_cast<std::size_t>(i);
}

double rise(const std::vector<StripPlace>& places, std::size_t peak, int step, double lift) {
  const double upper = places[crossing(places, peak, step, 0.75 * lift)].along;
  const double lower = places[crossing(places, peak, step, 0.25 * lift)].along;
  return std::abs(lower - upper);
}

Lifted around(const BorderStrip& strip, std::size_t peak, double lift) {
  const auto& places = strip.places;
  Lifted found{.side = strip.side,
               .rim = strip.rim,
               .outer = places[peak].outer,
               .inner = places[peak].inner,
               .lift = lift};
  const std::size_t low = crossing(places, peak, -1, 0.5 * lift);
  const std::size_t high = crossing(places, peak, 1, 0.5 * lift);
  found.from = places[low].along;
  found.to = places[high].along;
  found.open_from = places[low].lift > 0.5 * lift;
  found.open_to = places[high].lift > 0.5 * lift;
  found.rise_from = rise(places, peak, -1, lift);
  found.rise_to = rise(places, peak, 1, lift);
  return found;
}

BorderStrip walked(const Evidence& evidence, const cv::Mat& mask, Edge side, double deepest_units,
                   double widest_units) {
  BorderStrip strip{.side = side};
  const bool across = side == Edge::top || side == Edge::bottom;
  strip.length = (across ? evidence.silver.cols : evidence.silver.rows) / evidence.px_per_unit;
  for (double along = 0.5 * kStepUnits; along < strip.length; along += kStepUnits) {
    if (const auto place = place_at(evidence, mask, side, along, deepest_units, widest_units))
      strip.places.push_back(*place);
  }
  return strip;
}

}  // namespace

cv::Point2d on_side(const Evidence& evidence, Edge side, double along, double inward) {
  const double width = evidence.silver.cols / evidence.px_per_unit;
  const double height = evidence.silver.rows / evidence.px_per_unit;
  switch (side) {
    case Edge::top:
      return {along, inward};
    case Edge::right:
      return {width - inward, along};
    case Edge::bottom:
      return {along, height - inward};
    case Edge::left:
      return {inward, along};
  }
  return {along, inward};
}

std::vector<BorderStrip> border_strips(const Evidence& evidence) {
  const cv::Mat film = outer_film(evidence);
  const bool rim_seen = evidence.regions->image_area_units.has_value();
  const cv::Mat covered = rim_seen ? cv::Mat(film & ~opening_mask(evidence)) : cv::Mat();
  std::vector<BorderStrip> strips;
  std::vector<double> rims;
  for (const Edge side : {Edge::top, Edge::right, Edge::bottom, Edge::left}) {
    if (rim_seen) {
      BorderStrip rim = walked(evidence, covered, side, kDeepestUnits, kDeepestUnits);
      rim.rim = true;
      for (const StripPlace& place : rim.places) rims.push_back(place.lift);
      if (rim.places.size() >= kFewestPlaces) strips.push_back(std::move(rim));
    }
    // Also where there is a rim: it may be too narrow at the very place.
    BorderStrip band = walked(evidence, film, side, kDeepestUnits, kBandUnits);
    if (band.places.size() >= kFewestPlaces) strips.push_back(std::move(band));
  }
  for (BorderStrip& strip : strips) {
    std::vector<double> lifts = rims;
    if (!strip.rim) {
      lifts.clear();
      for (const StripPlace& place : strip.places) lifts.push_back(place.lift);
    }
    const double clean = median(lifts);
    strip.scatter = std::max(kLeastScatter, robust_sigma(lifts));
    for (StripPlace& place : strip.places) place.lift -= clean;
  }
  return strips;
}

std::vector<Lifted> lifted_stretches(const std::vector<BorderStrip>& strips) {
  std::size_t count = 0;
  for (const BorderStrip& strip : strips) count += strip.places.size();
  const double log10_tests = 2.0 * std::log10(std::max<double>(1.0, static_cast<double>(count)));
  std::vector<Lifted> found;
  for (const BorderStrip& strip : strips) {
    std::vector<bool> taken(strip.places.size(), false);
    for (;;) {
      // The greatest lift that three places in a row reach, so that a speck does not count.
      std::size_t peak = 0;
      double lift = 0.0;
      for (std::size_t i = 1; i + 1 < strip.places.size(); ++i) {
        if (taken[i]) continue;
        const double least =
            std::min({strip.places[i - 1].lift, strip.places[i].lift, strip.places[i + 1].lift});
        if (least > lift) {
          lift = least;
          peak = i;
        }
      }
      if (lift < kLeastLift) break;
      Lifted stretch = around(strip, peak, lift);
      const double quiet = std::max(3.0 * strip.scatter, 0.1 * lift);
      const double first = strip.places[crossing(strip.places, peak, -1, quiet)].along;
      const double last = strip.places[crossing(strip.places, peak, 1, quiet)].along;
      stretch.log10_nfa = log10_tests + log10_normal_tail(lift / strip.scatter);
      for (std::size_t i = 0; i < taken.size(); ++i) {
        const double along = strip.places[i].along;
        if (along >= first - kBesideUnits && along <= last + kBesideUnits) taken[i] = true;
      }
      if (stretch.log10_nfa <= kLargestLog10Nfa && stretch.to - stretch.from >= kShortestUnits)
        found.push_back(stretch);
    }
  }
  return found;
}

}  // namespace platewise
