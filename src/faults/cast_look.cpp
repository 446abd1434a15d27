#include "cast_look.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kBesideUnits = 2.0;
constexpr std::size_t kFewestPx = 20;
constexpr double kSteepShare = 0.25;

cv::Mat grown(const cv::Mat& area, int reach) {
  cv::Mat out;
  cv::dilate(area, out, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  return out;
}

cv::Mat shrunk(const cv::Mat& area, int reach) {
  cv::Mat out;
  cv::erode(area, out, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  return out;
}

// Rise of tone across a pixel, the most within one pixel: the border of a cast is not known better.
cv::Mat rise(const cv::Mat& tone) {
  cv::Mat out;
  cv::dilate(steepness(tone), out, cv::Mat::ones(3, 3, CV_8UC1));
  return out;
}

int beside_px(const ColourCast& cast) {
  return std::max(3, static_cast<int>(std::lround(kBesideUnits * cast.px_per_unit)));
}

}  // namespace

double tone_share(const ColourCast& cast, double share) {
  const auto& tones = cast.curve.tones;
  return tones.front() + share * (tones.back() - tones.front());
}

double border_on_outlines(const ColourCast& cast, const cv::Mat& area) {
  const cv::Mat border = grown(area, 1) & ~shrunk(area, 1) & cast.film;
  const int reach = beside_px(cast);
  const cv::Mat beside = grown(area, reach) & ~shrunk(area, reach) & ~grown(border, 2) & cast.film;
  if (std::min(cv::countNonZero(border), cv::countNonZero(beside)) < static_cast<int>(kFewestPx)) return 0.0;
  const cv::Mat steps = rise(cast.tone);
  std::vector<double> usual;
  for (int y = 0; y < steps.rows; ++y)
    for (int x = 0; x < steps.cols; ++x)
      if (beside.at<std::uint8_t>(y, x) != 0) usual.push_back(static_cast<double>(steps.at<float>(y, x)));
  const cv::Mat steep = border & (steps > quantile(usual, 1.0 - kSteepShare));
  return cv::countNonZero(steep) / static_cast<double>(cv::countNonZero(border));
}

double border_between_darks(const ColourCast& cast, const cv::Mat& area, double brightest) {
  const int reach = std::max(2, beside_px(cast) / 2);
  const cv::Mat dark = (cast.tone <= brightest) & cast.film;
  const cv::Mat outer = grown(dark & ~grown(area, 1), reach);
  const cv::Mat inner = grown(dark & shrunk(area, 1), reach);
  const cv::Mat border = grown(area, 1) & ~area & cast.film;
  return cv::countNonZero(border & outer & inner) /
         std::max(1.0, static_cast<double>(cv::countNonZero(border)));
}

std::optional<double> off_between(const ColourCast& cast, const cv::Mat& area, const Colour& direction,
                                  double low, double high) {
  const cv::Mat where = area & cast.known & (cast.tone >= low) & (cast.tone <= high);
  if (cv::countNonZero(where) < static_cast<int>(kFewestPx)) return std::nullopt;
  return mean_off(cast, where).dot(direction);
}

double in_other_tones(const ColourCast& cast, const cv::Mat& area, const Colour& mean) {
  constexpr double kTail = 0.05;  // of the area's own tones at either end
  constexpr double kLeastShare = 0.05;
  std::vector<double> tones;
  for (int y = 0; y < area.rows; ++y)
    for (int x = 0; x < area.cols; ++x)
      if ((area.at<std::uint8_t>(y, x) & cast.known.at<std::uint8_t>(y, x)) != 0)
        tones.push_back(static_cast<double>(cast.tone.at<float>(y, x)));
  if (tones.size() < kFewestPx) return 1.0;
  const int reach = beside_px(cast);
  const cv::Mat within = shrunk(grown(area, reach), reach) & cast.known;
  const cv::Mat other =
      within & ((cast.tone < quantile(tones, kTail)) | (cast.tone > quantile(tones, 1.0 - kTail)));
  const int count = cv::countNonZero(other);
  if (count < static_cast<int>(kFewestPx) || count < kLeastShare * static_cast<double>(tones.size()))
    return 1.0;
  return mean_off(cast, other).dot(mean) / std::max(1e-9, mean.dot(mean));
}

double evenness(const ColourCast& cast, const cv::Mat& area, const Colour& mean) {
  std::vector<double> along;
  for (int y = 0; y < area.rows; ++y)
    for (int x = 0; x < area.cols; ++x)
      if ((area.at<std::uint8_t>(y, x) & cast.known.at<std::uint8_t>(y, x)) != 0)
        along.push_back(cv::Vec2d(cast.off.at<cv::Vec2f>(y, x)).dot(mean) / mean.dot(mean));
  return along.empty() ? 1.0 : median(along);
}

double share_at_edge(const ColourCast& cast, const cv::Mat& area, double reach) {
  const int px = static_cast<int>(std::lround(reach * cast.px_per_unit));
  const cv::Rect middle =
      cv::Rect(px, px, area.cols - 2 * px, area.rows - 2 * px) & cv::Rect({}, area.size());
  const double all = std::max(1, cv::countNonZero(area));
  return middle.empty() ? 1.0 : 1.0 - cv::countNonZero(area(middle)) / all;
}

}  // namespace platewise
