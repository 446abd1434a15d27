#include "spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/distributions.h"
#include "platewise/stats/nfa.h"
#include "spot_response.h"

namespace platewise {
namespace {

constexpr std::array kRadiiPx{1.0, 1.5, 2.3, 3.5, 5.0, 8.0, 12.0, 18.0};
constexpr int kPolarities = 2;
constexpr double kTests = kPolarities * (kRadiiPx.size() + 1.0);  // the smallest twice, see below
constexpr double kTileUnits = 6.0;
constexpr double kTileRadii = 40.0;        // so that one spot is far below the upper quantile
constexpr double kIndependentPlaces = 12;  // the 48 places round a spot overlap and are worth about so many
constexpr double kLeastInMean = 2.5;    // deviates: what a single source pixel shows is seen in the mean too
constexpr double kLevelRadiusPx = 2.5;  // large spots are looked for on a shrunk picture

// log10 P of Student's t above a value.
double log10_t_tail(double t, double degrees_of_freedom) {
  if (t <= 0.0) return 0.0;
  const double x = degrees_of_freedom / (degrees_of_freedom + t * t);
  return std::log10(std::max(1e-300, 0.5 * incomplete_beta(x, degrees_of_freedom / 2.0, 0.5)));
}

struct Level {
  int factor = 1;
  double radius_px = 1.0;  // on this level
  Mask film;
  cv::Mat silver;
};

Level level_for(const Evidence& evidence, const cv::Mat& silver, double radius_px) {
  Level level{.factor = std::max(1, static_cast<int>(std::lround(radius_px / kLevelRadiusPx)))};
  level.radius_px = radius_px / level.factor;
  level.silver = silver;
  level.film.inside = evidence.film.inside;
  if (level.factor == 1) return level;
  const cv::Size size(silver.cols / level.factor, silver.rows / level.factor);
  cv::resize(silver, level.silver, size, 0, 0, cv::INTER_AREA);
  cv::resize(evidence.film.inside, level.film.inside, size, 0, 0, cv::INTER_NEAREST);
  return level;
}

int tile_px(const Evidence& evidence, const Level& level) {
  return static_cast<int>(std::lround(
      std::max({64.0, kTileUnits * evidence.px_per_unit / level.factor, kTileRadii * level.radius_px})));
}

// Local maxima of the response that the background does not explain.
void collect(const SpotResponse& of, const SpotBackground& background, const Level& level, double radius_px,
             int sign, double log10_tests, double largest_log10_nfa, std::vector<Spot>& spots) {
  const cv::Mat& response = of.response;
  cv::Mat greatest_near;
  const int reach = 2 * static_cast<int>(std::ceil(level.radius_px)) + 1;
  cv::dilate(response, greatest_near, cv::getStructuringElement(cv::MORPH_RECT, {reach, reach}));
  for (int y = 0; y < response.rows; ++y) {
    for (int x = 0; x < response.cols; ++x) {
      const float r = response.at<float>(y, x);
      if (r <= 0 || r < greatest_near.at<float>(y, x) || level.film.inside.at<std::uint8_t>(y, x) == 0)
        continue;
      const double log10_nfa = log10_tests + log10_normal_tail(background.deviate(x, y, r));
      if (log10_nfa > largest_log10_nfa) continue;
      const cv::Point at(x * level.factor + level.factor / 2, y * level.factor + level.factor / 2);
      const double evenness = of.evenness.at<float>(y, x);
      const double uneven = log10_tests + log10_t_tail(evenness, kIndependentPlaces - 1.0);
      spots.push_back({at, radius_px, sign, r, evenness, log10_nfa, uneven});
    }
  }
}

void look_at_scale(const Evidence& evidence, double radius_px, int sign, double largest_log10_nfa,
                   std::vector<Spot>& spots) {
  const Level level = level_for(evidence, evidence.silver, radius_px);
  const SpotResponse response = spot_response(level.silver * static_cast<double>(sign), level.radius_px);
  const SpotBackground background(response.response, level.film, tile_px(evidence, level));
  const double log10_tests = std::log10(kTests * std::max(1, cv::countNonZero(level.film.inside)));
  collect(response, background, level, radius_px, sign, log10_tests, largest_log10_nfa, spots);
  if (radius_px > kRadiiPx.front()) return;

  // Specks smaller than a working pixel survive the shrinking only in its least and greatest value.
  const cv::Mat& extreme = sign > 0 ? evidence.most_silver : evidence.least_silver;
  const Level finest = level_for(evidence, extreme, radius_px);
  const SpotResponse of_extreme = spot_response(extreme * static_cast<double>(sign), radius_px);
  const SpotBackground of_chance(of_extreme.response, finest.film, tile_px(evidence, finest));
  std::vector<Spot> finest_spots;
  collect(of_extreme, of_chance, finest, radius_px, sign, log10_tests, largest_log10_nfa, finest_spots);
  for (const Spot& spot : finest_spots) {
    const cv::Rect near =
        cv::Rect(spot.at.x - 1, spot.at.y - 1, 3, 3) & cv::Rect({0, 0}, response.response.size());
    double greatest = 0.0;
    cv::minMaxLoc(response.response(near), nullptr, &greatest);
    if (background.deviate(spot.at.x, spot.at.y, static_cast<float>(greatest)) >= kLeastInMean)
      spots.push_back(spot);
  }
}

}  // namespace

std::vector<Spot> isolated_spots(const Evidence& evidence, double largest_log10_nfa) {
  std::vector<Spot> spots;
  for (const double radius_px : kRadiiPx)
    for (const int sign : {1, -1}) look_at_scale(evidence, radius_px, sign, largest_log10_nfa, spots);
  const auto meaning = [](const Spot& s) { return std::max(s.log10_nfa, s.log10_nfa_uneven); };
  std::stable_sort(spots.begin(), spots.end(),
                   [&](const Spot& a, const Spot& b) { return meaning(a) < meaning(b); });
  std::vector<Spot> kept;
  for (const Spot& spot : spots) {
    const bool overlaps = std::any_of(kept.begin(), kept.end(), [&](const Spot& k) {
      return cv::norm(k.at - spot.at) < 2.0 * std::max(k.radius_px, spot.radius_px) + 2.0;
    });
    if (!overlaps) kept.push_back(spot);
  }
  return kept;
}

}  // namespace platewise
