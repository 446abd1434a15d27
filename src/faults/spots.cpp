#include "spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/distributions.h"
#include "spot_background.h"
#include "spot_response.h"

namespace platewise {
namespace {

constexpr std::array kRadiiPx{1.0, 1.5, 2.3, 3.5, 5.0, 8.0, 12.0, 18.0};
constexpr int kPolarities = 2;
constexpr double kTests = kPolarities * (kRadiiPx.size() + 1.0);  // the smallest twice, see below
constexpr double kTileUnits = 6.0;
constexpr double kTileRadii = 40.0;        // so that one spot is far below the upper quantile
constexpr double kIndependentPlaces = 12;  // the 48 places round a spot overlap and are worth about so many
// Silver; a ground evener than that is the scanner's doing, in blocked lights or by compression, whose blocks
// stand out by a code value or two.
constexpr double kLeastScatter = 0.01;
constexpr double kLeastInMean = 2.5;    // deviates: what a single source pixel shows is seen in the mean too
constexpr double kLevelRadiusPx = 2.5;  // large spots are looked for on a shrunk picture

// log10 P of Student's t above a value.
double log10_t_tail(double t, double degrees_of_freedom) {
  if (t <= 0.0) return 0.0;
  const double x = degrees_of_freedom / (degrees_of_freedom + t * t);
  return std::log10(std::max(1e-300, 0.5 * incomplete_beta(x, degrees_of_freedom / 2.0, 0.5)));
}

// The t below which log10_t_tail is greater than this, a little less.
double least_t_for(double log10_tail, double degrees_of_freedom) {
  double low = 0.0;
  double high = 1e3;
  for (int i = 0; i < 30; ++i) {
    const double t = 0.5 * (low + high);
    (log10_t_tail(t, degrees_of_freedom) > log10_tail ? low : high) = t;
  }
  return low;
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

int tile_px_of(const Evidence& evidence, const Level& level) {
  return static_cast<int>(std::lround(
      std::max({64.0, kTileUnits * evidence.px_per_unit / level.factor, kTileRadii * level.radius_px})));
}

// One size of spot on one picture: what every pixel answers, and where it is to be judged.
struct Scale {
  Level level;
  double radius_px = 1.0;  // on the working picture
  SpotResponses responses;
  double log10_tests = 0.0;
  int tile_px = 64;

  Scale(const Evidence& evidence, const cv::Mat& silver, double radius)
      : level(level_for(evidence, silver, radius)),
        radius_px(radius),
        responses(level.silver, level.radius_px),
        log10_tests(std::log10(kTests * std::max(1, cv::countNonZero(level.film.inside)))),
        tile_px(tile_px_of(evidence, level)) {}

  [[nodiscard]] SpotBackground background(int sign) const {
    return {responses.of(sign), level.film, tile_px};
  }
};

// A place whose disc stands out from all twelve round it, further than any place near.
struct Maximum {
  cv::Point at;  // of the level
  float response = 0.0F;
  Standing standing;
};

// Of the square of pixels within `reach`; the picture may end before.
bool is_greatest_near(const cv::Mat& response, cv::Point at, int reach) {
  const float here = response.at<float>(at);
  const int to_x = std::min(at.x + reach, response.cols - 1);
  const int to_y = std::min(at.y + reach, response.rows - 1);
  for (int y = std::max(at.y - reach, 0); y <= to_y; ++y) {
    const auto* row = response.ptr<float>(y);
    for (int x = std::max(at.x - reach, 0); x <= to_x; ++x)
      if (row[x] > here) return false;
  }
  return true;
}

std::vector<Maximum> maxima(const Scale& scale, int sign) {
  const Level& level = scale.level;
  const cv::Mat& response = scale.responses.of(sign);
  const int reach = static_cast<int>(std::ceil(level.radius_px));
  std::vector<Maximum> found;
  for (int y = 0; y < response.rows; ++y) {
    const auto* row = response.ptr<float>(y);
    for (int x = 0; x < response.cols; ++x) {
      if (row[x] <= 0.0F || level.film.inside.at<std::uint8_t>(y, x) == 0 ||
          !is_greatest_near(response, {x, y}, reach))
        continue;
      found.push_back({{x, y}, row[x], scale.responses.standing({x, y}, sign)});
    }
  }
  return found;
}

// Local maxima of the response that the background does not explain.
std::vector<Spot> collected(const Scale& scale, const SpotBackground& background, int sign,
                            double largest_log10_nfa) {
  std::vector<Spot> spots;
  const std::vector<Maximum> all = maxima(scale, sign);
  const int factor = scale.level.factor;
  constexpr double kRounding = 1e-9;
  const double largest = largest_log10_nfa - std::log10(2.0) - scale.log10_tests;  // of either judge
  const double least_t = least_t_for(largest, kIndependentPlaces - 1.0);
  for (const Maximum& maximum : all) {
    const double by_tile =
        scale.log10_tests + background.log10_tail(maximum.at.x, maximum.at.y, maximum.response);
    const auto [height, scatter] = maximum.standing;
    const double t = height / std::max(scatter, kLeastScatter);
    if (t < least_t && by_tile > scale.log10_tests + largest + kRounding) continue;  // tells most at once
    const double by_ring = scale.log10_tests + log10_t_tail(t, kIndependentPlaces - 1.0);
    const double log10_nfa = std::log10(2.0) + std::min(by_tile, by_ring);
    if (log10_nfa > largest_log10_nfa) continue;
    const cv::Point at(maximum.at.x * factor + factor / 2, maximum.at.y * factor + factor / 2);
    spots.push_back({at, scale.radius_px, sign, maximum.response, height / scatter, log10_nfa});
  }
  return spots;
}

// Specks smaller than a working pixel survive the shrinking only in its least and greatest value; the mean
// must show something of them too.
void add_finest(const Evidence& evidence, const Scale& of_mean, const SpotBackground& background, int sign,
                double largest_log10_nfa, std::vector<Spot>& spots) {
  const Scale finest(evidence, sign > 0 ? evidence.most_silver : evidence.least_silver, of_mean.radius_px);
  const cv::Mat& response = of_mean.responses.of(sign);
  for (const Spot& spot : collected(finest, finest.background(sign), sign, largest_log10_nfa)) {
    const cv::Rect near = cv::Rect(spot.at.x - 1, spot.at.y - 1, 3, 3) & cv::Rect({0, 0}, response.size());
    double greatest = 0.0;
    cv::minMaxLoc(response(near), nullptr, &greatest);
    if (background.deviate(spot.at.x, spot.at.y, static_cast<float>(greatest)) >= kLeastInMean)
      spots.push_back(spot);
  }
}

void look_at_scale(const Evidence& evidence, double radius_px, double largest_log10_nfa,
                   std::vector<Spot>& spots) {
  const Scale scale(evidence, evidence.silver, radius_px);
  for (const int sign : {1, -1}) {
    const SpotBackground background = scale.background(sign);
    const std::vector<Spot> found = collected(scale, background, sign, largest_log10_nfa);
    spots.insert(spots.end(), found.begin(), found.end());
    if (radius_px == kRadiiPx.front())
      add_finest(evidence, scale, background, sign, largest_log10_nfa, spots);
  }
}

}  // namespace

std::vector<Spot> isolated_spots(const Evidence& evidence, double largest_log10_nfa) {
  std::vector<Spot> spots;
  const double log10_tests = std::log10(kTests * static_cast<double>(evidence.silver.total()));
  for (const double radius_px : kRadiiPx) look_at_scale(evidence, radius_px, largest_log10_nfa, spots);
  const auto meaning = [&](const Spot& s) {
    return std::max(s.log10_nfa, log10_tests + log10_t_tail(s.evenness, kIndependentPlaces - 1.0));
  };
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
