#include "own_edges.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "picture_softness.h"

namespace platewise {

bool Surroundings::contains(cv::Point at) const {
  return window.contains(at) && inside.at<std::uint8_t>(at - window.tl()) != 0;
}

Surroundings surroundings(const DarkPlace& place, cv::Size size, double px_per_unit) {
  constexpr double kRoundUnits = 0.8;
  const int reach = static_cast<int>(std::lround(kRoundUnits * px_per_unit));
  Surroundings round;
  round.window = cv::Rect(place.window.x - reach, place.window.y - reach, place.window.width + 2 * reach,
                          place.window.height + 2 * reach) &
                 cv::Rect({0, 0}, size);
  cv::Mat inside = cv::Mat::zeros(round.window.size(), CV_8UC1);
  place.inside.copyTo(inside(place.window - round.window.tl()));
  cv::dilate(inside, round.inside, cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U));
  return round;
}

OwnEdges::OwnEdges(const std::vector<PictureEdge>& of_picture, const std::vector<PictureEdge>& of_lighter,
                   const Surroundings& place, const cv::Mat& its_like) {
  const auto is_own = [&](cv::Point at) {
    return !place.contains(at) && (its_like.empty() || its_like.at<std::uint8_t>(at) == 0);
  };
  for (const PictureEdge& edge : of_picture)
    if (is_own(edge.at)) of_picture_.push_back(edge);
  for (const PictureEdge& edge : of_lighter)
    if (is_own(edge.at)) of_lighter_.push_back(edge.softness_px);
}

std::optional<double> OwnEdges::sharpest_px() const {
  return platewise::sharpest_px(of_picture_);
}

double OwnEdges::as_hard(double softness_px) const {
  constexpr double kPrior = 100.0;  // borders as hard as the sharpest share says
  const auto hard = std::count_if(of_lighter_.begin(), of_lighter_.end(),
                                  [&](float softness) { return softness <= softness_px; });
  const double share = (kPrior * kSharpestShare + static_cast<double>(hard)) /
                       (kPrior + static_cast<double>(of_lighter_.size()));
  return std::max(kSharpestShare, share);
}

}  // namespace platewise
