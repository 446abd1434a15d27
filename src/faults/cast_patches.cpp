#include "cast_patches.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kLeastOff = 0.02;  // of log10: about one just noticeable difference in the lights
constexpr double kScatters = 2.5;
constexpr double kLeastUnits2 = 5.0;
constexpr double kClosedUnits = 1.3;
constexpr int kToneClasses = 5;
constexpr std::size_t kFewestAreas = 12;  // to know how means over areas of a size scatter
constexpr double kHues = 8.0;
constexpr double kSizes = 6.0;
// Lacquer and collodion are not of quite one colour, nor is a lamp's light (common practice, no source).
constexpr double kUnevenU = 0.003;

// Scatter of `smooth` at each tone, the larger of its two colours. CV_32FC1.
cv::Mat scatter_by_tone(const ColourCast& cast) {
  const std::vector<double>& tones = cast.curve.tones;
  const double low = tones.front();
  const double width = (tones.back() - low) / kToneClasses;
  const auto class_of = [&](double tone) {
    return static_cast<std::size_t>(std::clamp((tone - low) / width, 0.0, kToneClasses - 1.0));
  };
  std::array<std::vector<double>, kToneClasses> reds;
  std::array<std::vector<double>, kToneClasses> blues;
  for (int y = 0; y < cast.known.rows; y += 2)
    for (int x = 0; x < cast.known.cols; x += 2) {
      if (cast.known.at<std::uint8_t>(y, x) == 0) continue;
      const std::size_t at = class_of(static_cast<double>(cast.tone.at<float>(y, x)));
      reds[at].push_back(static_cast<double>(cast.smooth.at<cv::Vec2f>(y, x)[0]));
      blues[at].push_back(static_cast<double>(cast.smooth.at<cv::Vec2f>(y, x)[1]));
    }
  std::array<float, kToneClasses> sigma{};
  for (std::size_t i = 0; i < kToneClasses; ++i)
    if (reds[i].size() >= kFewestAreas)
      sigma[i] = static_cast<float>(std::max(robust_sigma(reds[i]), robust_sigma(blues[i])));
  cv::Mat out(cast.tone.size(), CV_32FC1);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x)
      out.at<float>(y, x) = sigma[class_of(static_cast<double>(cast.tone.at<float>(y, x)))];
  return out;
}

cv::Mat along(const ColourCast& cast, const Colour& direction) {
  cv::Mat out;
  cv::transform(cast.off, out,
                cv::Matx12f(static_cast<float>(direction[0]), static_cast<float>(direction[1])));
  return out;
}

// Robust scatter of means over areas of size x size, off the area itself; empty where too few fit the plate.
std::optional<double> scatter_of_means(const ColourCast& cast, const cv::Mat& off, const cv::Mat& elsewhere,
                                       int size) {
  const cv::Mat mean = mean_known(off, elsewhere, size);
  std::vector<double> values;
  const int step = std::max(2, size / 2);
  for (int y = step / 2; y < mean.rows; y += step)
    for (int x = step / 2; x < mean.cols; x += step)
      if (elsewhere.at<std::uint8_t>(y, x) != 0) values.push_back(static_cast<double>(mean.at<float>(y, x)));
  if (values.size() < kFewestAreas || cast.known.empty()) return std::nullopt;
  return robust_sigma(values);
}

}  // namespace

double hue_deg(const Colour& off) {
  return std::atan2(off[1], -off[0]) * 180.0 / std::numbers::pi;
}

bool HueRange::holds(double deg) const {
  return (deg >= from_deg && deg <= to_deg) || (deg + 360.0 >= from_deg && deg + 360.0 <= to_deg);
}

Colour mean_off(const ColourCast& cast, const cv::Mat& where) {
  const cv::Scalar mean = cv::mean(cast.off, where & cast.known);
  return {mean[0], mean[1]};
}

double log10_nfa_of(const ColourCast& cast, const cv::Mat& area, const Colour& mean) {
  const double length = cv::norm(mean);
  if (length <= 0.0) return 0.0;
  const cv::Mat off = along(cast, mean * (1.0 / length));
  cv::Mat near;
  cv::dilate(area, near, cv::Mat::ones(9, 9, CV_8UC1));
  const cv::Mat elsewhere = cast.known & ~near;
  const double pixels = std::max(1, cv::countNonZero(area));
  // Means over larger areas scatter less, as far as there are enough of them to see it.
  double sigma = 1.0;
  double places = static_cast<double>(cv::countNonZero(cast.known));
  for (int size = 3; size * size <= pixels; size = size * 3 / 2) {
    const auto scatter = scatter_of_means(cast, off, elsewhere, size);
    if (!scatter) break;
    sigma = *scatter;
    places = cv::countNonZero(cast.known) / (0.25 * size * size);
  }
  const double own_u = cv::mean(cast.u, area)[0];
  const double u = std::sqrt(sigma * sigma + own_u * own_u + kUnevenU * kUnevenU);
  return std::log10(places * kHues * kSizes) + log10_normal_tail(length / u);
}

std::vector<CastPatch> cast_patches(const ColourCast& cast, const HueRange& hues) {
  const cv::Mat scatter = scatter_by_tone(cast);
  cv::Mat mask(cast.known.size(), CV_8UC1, cv::Scalar(0));
  for (int y = 0; y < mask.rows; ++y)
    for (int x = 0; x < mask.cols; ++x) {
      if (cast.film.at<std::uint8_t>(y, x) == 0) continue;
      const Colour off = cv::Vec2d(cast.smooth.at<cv::Vec2f>(y, x));
      const double least = std::max({kLeastOff, kScatters * static_cast<double>(scatter.at<float>(y, x)),
                                     kScatters * static_cast<double>(cast.u.at<float>(y, x))});
      if (cv::norm(off) > least && hues.holds(hue_deg(off))) mask.at<std::uint8_t>(y, x) = 255;
    }
  const int closed = 2 * static_cast<int>(std::lround(kClosedUnits * cast.px_per_unit / 2.0)) + 1;
  cv::morphologyEx(mask, mask, cv::MORPH_OPEN, cv::Mat::ones(3, 3, CV_8UC1));
  cv::morphologyEx(mask, mask, cv::MORPH_CLOSE,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {closed, closed}), {-1, -1}, 1,
                   cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count = cv::connectedComponentsWithStats(mask, labels, stats, centres, 8, CV_32S);
  std::vector<CastPatch> patches;
  for (int i = 1; i < count; ++i) {
    const double area = stats.at<int>(i, cv::CC_STAT_AREA);
    if (area < kLeastUnits2 * cast.px_per_unit * cast.px_per_unit) continue;
    CastPatch patch;
    patch.box = {stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                 stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)};
    const cv::Mat whole = labels == i;
    patch.inside = whole(patch.box).clone();
    patch.mean = mean_off(cast, whole);
    patch.area_px = area;
    if (cv::norm(patch.mean) < kLeastOff) continue;
    patch.log10_nfa = log10_nfa_of(cast, whole, patch.mean);
    patches.push_back(std::move(patch));
  }
  return patches;
}

Polygon outline_units(const cv::Mat& inside, cv::Point origin, double px_per_unit) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(inside, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE, origin);
  Polygon out;
  double most = -1.0;
  for (const auto& outline : outlines) {
    const double area = cv::contourArea(outline);
    if (area <= most) continue;
    most = area;
    out.clear();
    for (const cv::Point p : outline) out.push_back({(p.x + 0.5) / px_per_unit, (p.y + 0.5) / px_per_unit});
  }
  return out;
}

}  // namespace platewise
