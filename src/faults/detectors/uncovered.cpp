#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kLeastSideUnits = 1.5;  // the handbook's corners start at 2 mm

Polygon in_units(const std::vector<cv::Point>& outline, double px_per_unit) {
  std::vector<cv::Point> simple;
  cv::approxPolyDP(outline, simple, 1.5, true);
  Polygon polygon;
  for (const cv::Point& p : simple) polygon.push_back({(p.x + 0.5) / px_per_unit, (p.y + 0.5) / px_per_unit});
  return polygon;
}

bool touches_border(const cv::Rect& box, const cv::Mat& picture, int reach) {
  return box.x <= reach || box.y <= reach || box.x + box.width >= picture.cols - reach ||
         box.y + box.height >= picture.rows - reach;
}

}  // namespace

// The regions stage saw the bare support; here it only gets its name: at the border the pour missed it,
// inside the film it was torn.
std::vector<Candidate> uncovered(const Evidence& evidence) {
  const Mask& bare = evidence.regions->bare;
  if (bare.empty()) return {};
  const double px_per_unit = evidence.px_per_unit;
  const int reach = static_cast<int>(std::lround(2.0 * px_per_unit));
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(bare.inside.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  std::vector<Candidate> candidates;
  for (const auto& outline : outlines) {
    const cv::Rect box = cv::boundingRect(outline);
    if (std::min(box.width, box.height) < kLeastSideUnits * px_per_unit) continue;
    const bool at_border = touches_border(box, bare.inside, reach);
    candidates.push_back({.id = at_border ? "uncovered_corner" : "tear_hole",
                          .outline_units = in_units(outline, px_per_unit),
                          .area = cv::contourArea(outline) / (px_per_unit * px_per_unit),
                          .length = std::max(box.width, box.height) / px_per_unit,
                          .width = std::min(box.width, box.height) / px_per_unit,
                          .contrast = 0.3,
                          .confidence = 0.8});
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
