#include "platewise/align/align.h"

#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/features2d.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kLongSidePx = 800.0;
constexpr int kFeatures = 3000;
constexpr float kRatio = 0.8F;  // best match against second best (Lowe 2004)
constexpr int kLeastAgreeing = 25;
constexpr double kLeastShare = 0.25;
constexpr double kReachPx = 3.0;

struct Details {
  std::vector<cv::KeyPoint> points;
  cv::Mat descriptors;
  double px_per_unit = 1.0;
};

// Local contrast only: exposure and development must not matter.
cv::Mat evened(const cv::Mat& density) {
  cv::Mat values = density.clone();
  cv::patchNaNs(values, 0.0);
  cv::Mat level;
  cv::GaussianBlur(values, level, {0, 0}, 12.0);
  cv::Mat detail = values - level;
  cv::Mat energy;
  cv::GaussianBlur(detail.mul(detail), energy, {0, 0}, 12.0);
  cv::sqrt(energy, energy);
  cv::divide(detail, energy + 0.01, detail);
  cv::GaussianBlur(detail, detail, {0, 0}, 1.0);
  cv::Mat bytes;
  detail.convertTo(bytes, CV_8U, 50.0, 128.0);
  return bytes;
}

Details details_of(const DensityImage& plate, const Mask& picture) {
  const double scale = std::min(1.0, kLongSidePx / std::max(plate.rows(), plate.cols()));
  cv::Mat density;
  cv::resize(plate.density, density, {}, scale, scale, cv::INTER_AREA);
  cv::Mat mask;
  if (!picture.empty()) {
    cv::resize(picture.inside, mask, density.size(), 0, 0, cv::INTER_NEAREST);
    cv::erode(mask, mask, cv::getStructuringElement(cv::MORPH_RECT, {9, 9}));
  }
  Details details{.px_per_unit = plate.px_per_unit * scale};
  const cv::Ptr<cv::ORB> orb = cv::ORB::create(kFeatures, 1.2F, 6, 15, 0, 2, cv::ORB::HARRIS_SCORE, 31, 8);
  orb->detectAndCompute(evened(density), mask, details.points, details.descriptors);
  return details;
}

std::vector<cv::DMatch> matched(const Details& first, const Details& second) {
  const cv::BFMatcher matcher(cv::NORM_HAMMING);
  std::vector<std::vector<cv::DMatch>> pairs;
  matcher.knnMatch(first.descriptors, second.descriptors, pairs, 2);
  std::vector<cv::DMatch> matches;
  for (const auto& pair : pairs) {
    if (pair.size() == 2 && pair[0].distance < kRatio * pair[1].distance) matches.push_back(pair[0]);
  }
  return matches;
}

// The same camera on the same tripod or nearly so: no mirror, no great change of size, little perspective.
bool is_plausible(const cv::Mat& h) {
  const double determinant =
      h.at<double>(0, 0) * h.at<double>(1, 1) - h.at<double>(0, 1) * h.at<double>(1, 0);
  const double tilt = std::hypot(h.at<double>(2, 0), h.at<double>(2, 1)) * kLongSidePx;
  return determinant > 0.4 && determinant < 2.5 && tilt < 0.4;
}

Homography scaled(double factor) {
  Homography map;
  map.matrix(0, 0) = map.matrix(1, 1) = factor;
  return map;
}

}  // namespace

std::optional<Alignment> aligned(const DensityImage& first, const Mask& first_picture,
                                 const DensityImage& second, const Mask& second_picture) {
  const Details a = details_of(first, first_picture);
  const Details b = details_of(second, second_picture);
  if (a.points.size() < kLeastAgreeing || b.points.size() < kLeastAgreeing) return std::nullopt;
  const std::vector<cv::DMatch> matches = matched(a, b);
  if (matches.size() < kLeastAgreeing) return std::nullopt;
  std::vector<cv::Point2f> from;
  std::vector<cv::Point2f> to;
  for (const cv::DMatch& match : matches) {
    from.push_back(a.points[static_cast<std::size_t>(match.queryIdx)].pt);
    to.push_back(b.points[static_cast<std::size_t>(match.trainIdx)].pt);
  }
  cv::Mat agreeing;
  const cv::Mat h = cv::findHomography(from, to, cv::RANSAC, kReachPx, agreeing, 4000, 0.999);
  const int count = h.empty() ? 0 : cv::countNonZero(agreeing);
  if (count < kLeastAgreeing || count < kLeastShare * static_cast<double>(matches.size()) ||
      !is_plausible(h)) {
    return std::nullopt;
  }
  Homography px_map;
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) px_map.matrix(r, c) = h.at<double>(r, c);
  }
  Alignment alignment;
  alignment.second_from_first.matrix =
      scaled(1.0 / b.px_per_unit).matrix * px_map.matrix * scaled(a.px_per_unit).matrix;
  alignment.points = count;
  return alignment;
}

}  // namespace platewise
