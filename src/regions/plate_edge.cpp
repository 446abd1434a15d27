#include "plate_edge.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

namespace platewise {
namespace {

constexpr double kDeepestHundredths = 3.0;  // a chip may reach this far; a rim or a bare edge mostly farther
constexpr double kClearStep = 0.12;         // D between plate and surround that leaves no doubt

// Tones at a depth from the outline, once round the picture.
std::vector<float> ring(const cv::Mat& tone, int depth) {
  std::vector<float> tones;
  const int right = tone.cols - 1 - depth;
  const int bottom = tone.rows - 1 - depth;
  for (int x = depth; x <= right; ++x) tones.push_back(tone.at<float>(depth, x));
  for (int y = depth + 1; y < bottom; ++y) tones.push_back(tone.at<float>(y, right));
  for (int x = right; x >= depth; --x) tones.push_back(tone.at<float>(bottom, x));
  for (int y = bottom - 1; y > depth; --y) tones.push_back(tone.at<float>(y, depth));
  return tones;
}

double share_near(const std::vector<float>& tones, double tone, double tolerance) {
  const auto near = std::count_if(tones.begin(), tones.end(), [&](float value) {
    return std::abs(static_cast<double>(value) - tone) <= tolerance;
  });
  return static_cast<double>(near) / static_cast<double>(std::max<std::size_t>(1, tones.size()));
}

// The surround's tone if the outline's extreme tone (at `share` of its range) dies out within a chip's depth.
std::optional<double> surround_tone(const WorkingTone& working, double share) {
  std::vector<float> outline = ring(working.tone, 0);
  const double tone = quantile(outline, share);
  const double tolerance = std::max(kClearStep / 3.0, 4.0 * working.noise_at(tone));
  const double here = share_near(outline, tone, tolerance);
  const double deeper = share_near(ring(working.tone, working.pixels(kDeepestHundredths)), tone,
                                   std::max(kClearStep, tolerance));
  constexpr double kSeldom = 0.03;  // fewer slivers than this matter to nobody
  if (here < kSeldom || deeper > 0.2 * here) return std::nullopt;
  return tone;
}

// Pixels of the surround's tone that hang together with the outline, no deeper than a chip.
cv::Mat slivers(const WorkingTone& working, double tone) {
  const double tolerance = std::max(kClearStep, 4.0 * working.noise_at(tone));
  cv::Mat alike = cv::abs(working.tone - tone) <= tolerance;
  const int depth = working.pixels(kDeepestHundredths);
  const cv::Rect inner(depth, depth, working.cols() - 2 * depth, working.rows() - 2 * depth);
  if (inner.width > 0 && inner.height > 0) alike(inner).setTo(0);
  cv::Mat reached = cv::Mat::zeros(alike.size(), CV_8UC1);
  cv::rectangle(reached, {0, 0, alike.cols, alike.rows}, 255, 1);
  reached &= alike;
  for (int grown = 0; grown < depth; ++grown) {
    cv::dilate(reached, reached, cv::Mat::ones(3, 3, CV_8U));
    reached &= alike;
  }
  return reached;
}

}  // namespace

cv::Mat inside_plate_edge(const WorkingTone& working) {
  cv::Mat inside = working.valid.clone();
  for (const double share : {0.02, 0.98}) {
    if (const auto tone = surround_tone(working, share)) inside &= ~slivers(working, *tone);
  }
  return inside;
}

}  // namespace platewise
