#include "accuracy/calibration/strip_plate.h"

#include <algorithm>
#include <cmath>

#include "accuracy/calibration/scanning.h"

namespace platewise::simulated {
namespace {

constexpr int kLongSidePx = 700;
constexpr int kShortSidePx = 520;

struct Strips {
  std::vector<double> ends;          // share of the length
  std::vector<double> log_exposure;  // true, against the longest time noted

  [[nodiscard]] std::size_t at(double along) const {
    std::size_t k = 0;
    while (k + 1 < ends.size() && along > ends[k]) ++k;
    return k;
  }
};

// Each strip is the sum of the parts its slide was open for: errors of 5 % of each part.
Strips drawn_strips(const std::vector<double>& times_s, Random& random) {
  Strips strips;
  const double longest = *std::max_element(times_s.begin(), times_s.end());
  const double count = static_cast<double>(times_s.size());
  for (std::size_t k = 0; k < times_s.size(); ++k) {
    const bool last = k + 1 == times_s.size();
    const double even = static_cast<double>(k + 1) / count;
    strips.ends.push_back(last ? 1.0 : even + random.uniform(-0.2, 0.2) / count);
    strips.log_exposure.push_back(std::log10(times_s[k] / longest) + random.normal(0.0, 0.02));
  }
  return strips;
}

// Whoever makes a strip plate sets the times about the one that looks right: the middle of the curve lies
// within a stop of the middle of the strips.
Photographer with_right_times(const Photographer& who, double range, Random& random) {
  const auto net = who.net_silver;
  const double half = 0.5 * net(0.5);
  double low = -5.0;
  double high = 0.5;
  for (int i = 0; i < 50; ++i) (net(0.5 * (low + high)) < half ? low : high) = 0.5 * (low + high);
  const double strongest = low + 0.5 * range + random.uniform(-0.3, 0.3);
  Photographer shifted = who;
  shifted.net_silver = [net, strongest](double log_exposure) { return net(log_exposure + strongest); };
  return shifted;
}

}  // namespace

StripPlate strip_plate(const Photographer& photographer, std::uint64_t seed) {
  Random random = Random(seed).fork(5);
  StripPlate plate;
  const int count = static_cast<int>(random.whole(5, 8));
  const double factor = count > 6 ? std::sqrt(2.0) * 1.2 : 2.0;
  double time = random.uniform(1.0, 3.0);
  for (int i = 0; i < count; ++i, time *= factor)
    plate.strips.times_s.push_back(std::round(4.0 * time) / 4.0);
  plate.who = with_right_times(
      photographer, std::log10(plate.strips.times_s.back() / plate.strips.times_s.front()), random);
  const Photographer& who = plate.who;
  if (random.chance(0.5)) std::reverse(plate.strips.times_s.begin(), plate.strips.times_s.end());
  constexpr Edge kEdges[] = {Edge::left, Edge::right, Edge::top, Edge::bottom};
  plate.strips.from = kEdges[random.whole(0, 3)];
  const Strips strips = drawn_strips(plate.strips.times_s, random);
  const bool upright = plate.strips.from == Edge::top || plate.strips.from == Edge::bottom;
  const bool backwards = plate.strips.from == Edge::right || plate.strips.from == Edge::bottom;
  const double scene = random.chance(0.5) ? random.uniform(0.05, 0.2) : 0.0;  // log exposure
  const double waves = random.uniform(3.0, 9.0);
  const double grain = random.uniform(0.01, 0.03);
  std::vector<double> unevenness;
  for (std::size_t k = 0; k < strips.ends.size(); ++k) unevenness.push_back(random.normal(0.0, 0.008));
  cv::Mat light(upright ? kLongSidePx : kShortSidePx, upright ? kShortSidePx : kLongSidePx, CV_32FC1);
  for (int y = 0; y < light.rows; ++y) {
    for (int x = 0; x < light.cols; ++x) {
      const double across = upright ? (x + 0.5) / light.cols : (y + 0.5) / light.rows;
      double along = upright ? (y + 0.5) / light.rows : (x + 0.5) / light.cols;
      if (backwards) along = 1.0 - along;
      const std::size_t k = strips.at(along);
      const double density = who.plate_density(strips.log_exposure[k] + scene * std::sin(waves * across)) +
                             unevenness[k] + random.normal(0.0, grain);
      light.at<float>(y, x) = scanned_pixel(who, density, 0.0, random);
    }
  }
  plate.scan = scan_of(light, who);
  return plate;
}

}  // namespace platewise::simulated
