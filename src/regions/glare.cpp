#include "glare.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kLighterThanSilver = -0.27;  // tone; silver on collodion sends back at most half (PRACTICE)
constexpr double kAboveLights = 0.25;         // D over the picture's own lights
constexpr double kPlateau = 0.05;             // D; a mirrored lamp or window is even or clipped
constexpr double kSmallestArea = 1.0;         // square hundredths: flecks of dust are smaller
constexpr double kLargestShare = 0.25;        // more is an overexposed photo, not a spot

std::vector<float> tones_of(const cv::Mat& tone, const cv::Mat& plate) {
  std::vector<float> tones;
  for (int y = 0; y < plate.rows; y += 2) {
    for (int x = 0; x < plate.cols; x += 2) {
      if (plate.at<std::uint8_t>(y, x) != 0) tones.push_back(tone.at<float>(y, x));
    }
  }
  return tones;
}

}  // namespace

cv::Mat glare_spots(const WorkingTone& working, const cv::Mat& plate) {
  cv::Mat glare = cv::Mat::zeros(plate.size(), CV_8UC1);
  std::vector<float> tones = tones_of(working.smooth, plate);
  constexpr double kLights = 0.75;  // a mirrored window may cover a good part of the plate
  const double lights = quantile(tones, kLights);
  const double top = quantile(tones, 0.998);
  if (top < std::max(kLighterThanSilver, lights + kAboveLights)) return glare;
  const double border = 0.5 * (top + lights);
  const cv::Mat bright = (working.smooth >= top - kPlateau) & plate;
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count =
      cv::connectedComponentsWithStats((working.smooth >= border) & plate, labels, stats, centres, 8, CV_32S);
  const double smallest = kSmallestArea * working.hundredth_px * working.hundredth_px;
  for (int label = 1; label < count; ++label) {
    const double area = stats.at<int>(label, cv::CC_STAT_AREA);
    if (area < smallest || area > kLargestShare * static_cast<double>(plate.total())) continue;
    const cv::Mat spot = labels == label;
    // Most of a reflection is as bright as its middle: what only just touches full scale is a light of the
    // picture.
    constexpr double kMostlyBright = 0.4;
    if (cv::countNonZero(spot & bright) >= kMostlyBright * area) glare |= spot;
  }
  const int reach = working.pixels(1.5);  // of the soft border
  cv::dilate(glare, glare, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  return glare & plate;
}

}  // namespace platewise
