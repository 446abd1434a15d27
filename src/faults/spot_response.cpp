#include "spot_response.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

// Rings of places round a spot; the nearest bounds it.
struct Ring {
  double radii;
  double more_px;
  int places;
};
constexpr std::array kRings{Ring{2.0, 1.5, 12}, Ring{3.3, 2.0, 16}, Ring{4.6, 2.5, 20}};

cv::Mat disc_mean(const cv::Mat& silver, double radius_px) {
  const int reach = static_cast<int>(std::ceil(radius_px));
  cv::Mat kernel(2 * reach + 1, 2 * reach + 1, CV_32FC1);
  for (int y = 0; y < kernel.rows; ++y)
    for (int x = 0; x < kernel.cols; ++x)
      kernel.at<float>(y, x) =
          static_cast<float>(std::clamp(radius_px + 0.5 - std::hypot(x - reach, y - reach), 0.0, 1.0));
  kernel /= cv::sum(kernel)[0];
  cv::Mat mean;
  cv::filter2D(silver, mean, CV_32F, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  return mean;
}

}  // namespace

SpotResponses::SpotResponses(const cv::Mat& silver, double radius_px)
    : reach_(static_cast<int>(std::ceil(kRings.back().radii * radius_px + kRings.back().more_px)) + 1) {
  const cv::Mat mean = disc_mean(silver, radius_px);
  cv::copyMakeBorder(mean, framed_, reach_, reach_, reach_, reach_, cv::BORDER_REFLECT);
  const Ring& nearest = kRings.front();
  std::vector<cv::Point> around;
  around.reserve(static_cast<std::size_t>(nearest.places));
  for (int i = 0; i < nearest.places; ++i)
    around.push_back(
        place(nearest.radii * radius_px + nearest.more_px, 2.0 * std::numbers::pi * i / nearest.places));
  brighter_.create(mean.size(), CV_32FC1);
  darker_.create(mean.size(), CV_32FC1);
  constexpr int kStrip = 16;  // rows that stay in the processor's cache while all places are looked at
  cv::Mat most;
  cv::Mat least;
  for (int y = 0; y < mean.rows; y += kStrip) {
    const cv::Rect strip(0, y, mean.cols, std::min(kStrip, mean.rows - y));
    framed_(strip + around.front()).copyTo(most);
    most.copyTo(least);
    for (const cv::Point from : around) {
      const cv::Mat there = framed_(strip + from);
      cv::max(most, there, most);
      cv::min(least, there, least);
    }
    cv::Mat brighter = brighter_(strip);
    cv::Mat darker = darker_(strip);
    cv::subtract(mean(strip), most, brighter);
    cv::subtract(least, mean(strip), darker);
  }
  for (const Ring& ring : kRings)
    for (int i = 0; i < ring.places; ++i)
      places_.push_back(
          place(ring.radii * radius_px + ring.more_px, 2.0 * std::numbers::pi * i / ring.places));
}

cv::Point SpotResponses::place(double distance, double turn) const {
  return {reach_ + static_cast<int>(std::lround(distance * std::cos(turn))),
          reach_ + static_cast<int>(std::lround(distance * std::sin(turn)))};
}

Standing SpotResponses::standing(cv::Point at, int sign) const {
  const double here = framed_.at<float>(at + cv::Point(reach_, reach_));
  double sum = 0.0;
  double squares = 0.0;
  for (const cv::Point from : places_) {
    const double from_here = framed_.at<float>(at + from) - here;
    sum += from_here;
    squares += from_here * from_here;
  }
  const auto places = static_cast<double>(places_.size());
  const double variance = (squares - sum * sum / places) / (places - 1.0);
  return {-sign * sum / places, std::sqrt(std::max(variance, kLeastSpotSigma * kLeastSpotSigma))};
}

}  // namespace platewise
