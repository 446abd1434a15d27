#include "same_scene.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <string_view>

#include "platewise/knowledge/fault_table.h"
#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kReachUnits = 0.6;  // the two plates lie on one another to about this
constexpr double kFarUnits = 4.0;
constexpr double kRingUnits = 0.6;
constexpr double kLeastShare = 0.5;  // of the contrast, to be the same mark
constexpr double kAbsentShare = 0.25;
constexpr double kLargestShare = 0.05;  // of the plate: broader marks have no surround to speak of
constexpr double kInPictureShare = 0.9;
constexpr double kLeastSeen = 0.8;  // of the pixels, by the other plate
constexpr std::array<std::string_view, 4> kOfHolderAndHand{"uncovered_corner", "frilling", "light_leak",
                                                           "veil"};

// What a second plate has too by its making, or what density, which alone is compared, does not show.
bool is_not_of_the_scene(std::string_view id) {
  const KnownFault* known = known_fault(id);
  return std::find(kOfHolderAndHand.begin(), kOfHolderAndHand.end(), id) != kOfHolderAndHand.end() ||
         (known != nullptr && known->seen == Seen::colour_scan);
}

// Inside and ring of an outline, as pixels from the box's corner.
struct Mark {
  cv::Point corner;
  std::vector<cv::Point> inside;
  std::vector<cv::Point> ring;
};

// At most so many pixels, evenly taken: medians need no more.
void thin_out(std::vector<cv::Point>& points) {
  constexpr std::size_t kMost = 250;
  const std::size_t step = points.size() / kMost + 1;
  std::vector<cv::Point> kept;
  for (std::size_t i = 0; i < points.size(); i += step) kept.push_back(points[i]);
  points = std::move(kept);
}

std::optional<Mark> mark_of(const Fault& fault, const Evidence& evidence) {
  const double k = evidence.px_per_unit;
  std::vector<cv::Point> outline;
  for (const Point& p : fault.outline_units)
    outline.emplace_back(static_cast<int>(std::floor(p.x * k)), static_cast<int>(std::floor(p.y * k)));
  if (outline.empty()) return std::nullopt;
  const int ring = std::max(2, static_cast<int>(std::lround(kRingUnits * k)));
  cv::Rect box = cv::boundingRect(outline);
  box = cv::Rect(box.x - ring - 1, box.y - ring - 1, box.width + 2 * ring + 2, box.height + 2 * ring + 2);
  for (cv::Point& p : outline) p -= box.tl();
  cv::Mat inside = cv::Mat::zeros(box.size(), CV_8UC1);
  cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
  cv::Mat near;
  cv::Mat around;
  cv::dilate(inside, near, cv::getStructuringElement(cv::MORPH_ELLIPSE, {3, 3}));
  cv::dilate(inside, around, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * ring + 1, 2 * ring + 1}));
  around &= ~near;
  Mark mark{.corner = box.tl()};
  cv::findNonZero(inside, mark.inside);
  cv::findNonZero(around, mark.ring);
  thin_out(mark.inside);
  thin_out(mark.ring);
  return mark;
}

double share_in(const cv::Mat& mask, const Mark& mark) {
  int count = 0;
  for (const cv::Point& p : mark.inside) {
    const cv::Point at = mark.corner + p;
    count += at.x >= 0 && at.y >= 0 && at.x < mask.cols && at.y < mask.rows && mask.at<std::uint8_t>(at) != 0;
  }
  return count / static_cast<double>(std::max<std::size_t>(1, mark.inside.size()));
}

// Median inside less median of the ring; empty where too little of either has a value.
std::optional<double> contrast(const cv::Mat& silver, const Mark& mark, cv::Point shift) {
  const auto median_of = [&](const std::vector<cv::Point>& points) -> std::optional<double> {
    std::vector<double> values;
    for (const cv::Point& p : points) {
      const cv::Point at = mark.corner + p + shift;
      if (at.x < 0 || at.y < 0 || at.x >= silver.cols || at.y >= silver.rows) continue;
      const float value = silver.at<float>(at);
      if (std::isfinite(value)) values.push_back(static_cast<double>(value));
    }
    if (values.empty() ||
        static_cast<double>(values.size()) < kLeastSeen * static_cast<double>(points.size()))
      return std::nullopt;
    return median(values);
  };
  const auto inside = median_of(mark.inside);
  const auto ring = median_of(mark.ring);
  if (!inside || !ring) return std::nullopt;
  return *inside - *ring;
}

// The other plate's silver in this plate's pixels; NaN where it shows nothing.
cv::Mat laid_on(const SameScene& other, const Evidence& evidence) {
  const auto scaled = [](double factor) {
    Homography map;
    map.matrix.diagonal() << factor, factor, 1.0;
    return map;
  };
  Homography other_px_from_px;
  other_px_from_px.matrix = scaled(other.image.px_per_unit).matrix * other.other_from_plate.matrix *
                            scaled(1.0 / evidence.px_per_unit).matrix;
  const cv::Mat density =
      resampled(other.image.density, other_px_from_px, evidence.silver.cols, evidence.silver.rows);
  return is_positive(evidence.kind) ? cv::Mat(-density) : density;
}

enum class Shown { yes, no, unknown };

Shown shown_by(const cv::Mat& silver, const Mark& mark, double own, double px_per_unit) {
  const int reach = std::max(1, static_cast<int>(std::lround(kReachUnits * px_per_unit)));
  const int far = static_cast<int>(std::lround(kFarUnits * px_per_unit));
  const double sign = own > 0 ? 1.0 : -1.0;
  double near_most = -1e9;
  int tried = 0;
  const int step = std::max(1, reach / 4);
  for (int y = -reach; y <= reach; y += step)
    for (int x = -reach; x <= reach; x += step)
      if (const auto value = contrast(silver, mark, {x, y})) {
        near_most = std::max(near_most, sign * *value);
        ++tried;
      }
  if (tried == 0) return Shown::unknown;
  if (near_most < kAbsentShare * std::abs(own)) return Shown::no;
  if (near_most < kLeastShare * std::abs(own)) return Shown::unknown;
  // As many places on rings farther off.
  double far_most = -1e9;
  for (int i = 0; i < tried; ++i) {
    const double turn = 2.399963 * i;  // golden angle: even cover
    const double radius = 2.0 * reach + (far - 2.0 * reach) * std::sqrt((i + 0.5) / tried);
    const cv::Point at(static_cast<int>(std::lround(radius * std::cos(turn))),
                       static_cast<int>(std::lround(radius * std::sin(turn))));
    if (const auto value = contrast(silver, mark, at)) far_most = std::max(far_most, sign * *value);
  }
  return near_most > far_most ? Shown::yes : Shown::unknown;
}

}  // namespace

int judge_by_same_scene(std::vector<Fault>& faults, const Evidence& evidence, const SameScene& other) {
  const cv::Mat silver = laid_on(other, evidence);
  const double plate_area =
      static_cast<double>(silver.total()) / (evidence.px_per_unit * evidence.px_per_unit);
  return static_cast<int>(std::erase_if(faults, [&](Fault& fault) {
    if (is_not_of_the_scene(fault.id) || fault.area > kLargestShare * plate_area) return false;
    const auto mark = mark_of(fault, evidence);
    if (!mark || mark->inside.empty() || mark->ring.empty() ||
        share_in(evidence.regions->picture.inside, *mark) < kInPictureShare)
      return false;
    const auto own = contrast(evidence.silver, *mark, {0, 0});
    if (!own || std::abs(*own) < evidence.grain) return false;
    const Shown shown = shown_by(silver, *mark, *own, evidence.px_per_unit);
    if (shown == Shown::no) fault.confidence = 1.0 - 0.5 * (1.0 - fault.confidence);
    return shown == Shown::yes;
  }));
}

}  // namespace platewise
