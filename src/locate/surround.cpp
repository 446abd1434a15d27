#include "surround.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

double middle_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

cv::Mat filled(cv::Size size, const Quad& quad, double grown) {
  Point centre{};
  for (const Point p : quad) centre = centre + 0.25 * p;
  std::vector<cv::Point> outline;
  for (const Point p : quad) {
    const Point off = p - centre;
    const Point q = p + grown / std::max(1.0, std::hypot(off.x, off.y)) * off;
    outline.emplace_back(static_cast<int>(std::lround(q.x)), static_cast<int>(std::lround(q.y)));
  }
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1);
  cv::fillConvexPoly(mask, outline, cv::Scalar::all(255));
  return mask;
}

}  // namespace

Surround surround_of(const LinearImage& image, const Quad& corners) {
  constexpr double kShadow = 0.02;  // of the diagonal: nearer, the plate's own shadow and its glare fall
  constexpr double kThin = 0.005;   // where the frame leaves less room than that
  constexpr double kFar = 0.12;     // farther, the light is another
  constexpr int kCell_px = 12;
  constexpr std::size_t kLeastCells = 20;
  constexpr double kEven = 0.08;     // relative spread of an even ground
  constexpr double kWhite = 0.45;    // linear luminance
  constexpr double kNeutral = 0.12;  // relative difference of the channels
  const double diagonal = distance(corners[0], corners[2]);
  std::vector<cv::Rect> cells;
  for (const double near : {kShadow, kThin}) {
    const cv::Mat ring = filled(image.luminance.size(), corners, kFar * diagonal) &
                         ~filled(image.luminance.size(), corners, near * 1.42 * diagonal);
    const int cell = near == kThin ? kCell_px / 3 : kCell_px;
    cells.clear();
    for (int y = 0; y + cell <= image.rows(); y += cell) {
      for (int x = 0; x + cell <= image.cols(); x += cell) {
        const cv::Rect place(x, y, cell, cell);
        if (cv::countNonZero(ring(place)) == cell * cell) cells.push_back(place);
      }
    }
    if (cells.size() >= kLeastCells) break;
  }
  if (cells.size() < kLeastCells) return {};
  std::vector<double> luminances;
  luminances.reserve(cells.size());
  for (const cv::Rect& cell : cells) luminances.push_back(cv::mean(image.luminance(cell))[0]);
  const double luminance = middle_of(luminances);
  std::vector<double> off;
  off.reserve(luminances.size());
  for (const double value : luminances) off.push_back(std::abs(value - luminance));
  constexpr double kSigmaPerMad = 1.4826;
  const double spread = kSigmaPerMad * middle_of(off);
  Surround surround;
  if (!(spread < kEven * luminance)) return surround;
  surround.luminance = Quantity{luminance, std::max(spread, 1e-4)};
  bool neutral = true;
  if (!image.rgb.empty()) {
    cv::Scalar sum;
    for (const cv::Rect& cell : cells) sum += cv::mean(image.rgb(cell));
    const auto [least, most] = std::minmax({sum[0], sum[1], sum[2]});
    neutral = most - least < kNeutral * most;
  }
  surround.white = luminance > kWhite && neutral;
  return surround;
}

}  // namespace platewise
