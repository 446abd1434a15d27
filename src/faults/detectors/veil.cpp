#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "detectors.h"
#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

// A rim that the holder covered got no light from the scene: silver there over the bare support is fog of
// bath, developer or dark room, and the picture's shadows cannot be clearer. A right plate carries some; from
// 0.15 D on it is a fault (handbook 5a-bis: mark 60 of 100; common practice, no source).
constexpr double kVeil = 0.15;
constexpr double kClearUnits = 0.7;        // of the borders of rim and bare support
constexpr double kLeastBareUnits2 = 10.0;  // less is no measurement
constexpr double kLeastRimUnits2 = 30.0;
constexpr double kUnevenU = 0.01;  // of either median: lacquer and collodion are not quite even
constexpr double kShadowShare = 0.01;
constexpr double kLeastOverRim = -0.03;  // of the deepest shadow: clearer shadows contradict a veil

// Every so many-th pixel of a mask shrunk by `clear`.
std::vector<double> values_in(const cv::Mat& silver, const cv::Mat& mask, int clear, double least_px) {
  cv::Mat inside;
  cv::erode(mask, inside, cv::getStructuringElement(cv::MORPH_RECT, {2 * clear + 1, 2 * clear + 1}), {-1, -1},
            1, cv::BORDER_CONSTANT, cv::Scalar(0));
  if (cv::countNonZero(inside) < least_px) return {};
  constexpr int kStep = 3;
  std::vector<double> values;
  for (int y = 0; y < inside.rows; y += kStep)
    for (int x = 0; x < inside.cols; x += kStep)
      if (inside.at<std::uint8_t>(y, x) != 0) values.push_back(static_cast<double>(silver.at<float>(y, x)));
  return values;
}

}  // namespace

std::vector<Candidate> veil(const Evidence& evidence) {
  const Regions& regions = *evidence.regions;
  if (regions.bare.empty() || regions.rim.empty() || evidence.errors == nullptr) return {};
  const double k = evidence.px_per_unit;
  const int clear = std::max(1, static_cast<int>(std::lround(kClearUnits * k)));
  const auto rim = values_in(evidence.silver, regions.rim.inside, clear, kLeastRimUnits2 * k * k);
  const auto bare = values_in(evidence.plate_silver, regions.bare.inside, clear, kLeastBareUnits2 * k * k);
  cv::Mat smooth;
  cv::blur(evidence.silver, smooth, {5, 5});
  const auto picture = values_in(smooth, regions.picture.inside, clear, 1.0);
  if (rim.empty() || bare.empty() || picture.empty()) return {};
  const double over = median(rim);
  const double fog = over - median(bare);
  if (quantile(picture, kShadowShare) < over + kLeastOverRim) return {};
  const double sign = is_positive(evidence.kind) ? -1.0 : 1.0;
  const double u = std::hypot(u_of_difference(*evidence.errors, sign * over, sign * median(bare)), kUnevenU);
  const double width = evidence.silver.cols / k;
  const double height = evidence.silver.rows / k;
  Candidate candidate{.id = "veil",
                      .outline_units = {{0, 0}, {width, 0}, {width, height}, {0, height}},
                      .area = width * height,
                      .contrast = std::max(0.0, fog),
                      .log10_nfa = log10_normal_tail((fog - kVeil) / u)};
  candidate.confidence = std::clamp(0.5 + 0.1 * (fog - kVeil) / u, 0.0, 0.95);
  return {candidate};
}

}  // namespace platewise::fault_detectors
