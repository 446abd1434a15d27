#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "../blob.h"
#include "../comet_tail.h"
#include "../local_tail.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

constexpr std::array kRadiiPx{1.0, 1.7, 3.0, 5.0, 8.0, 13.0};
constexpr int kPolarities = 2;
constexpr double kTileUnits = 10.0;
constexpr double kTileRadii = 40.0;       // so that one speck is far below the tail's 0.5 %
constexpr double kMostElongated = 3.0;    // longer is a line: picture or scratch
constexpr double kLeastSharpness = 0.22;  // dust and holes are hard; lens-drawn spots are soft
constexpr double kPinholeMostMm = 0.3;    // handbook: pinhole 0.02-0.3, dust 0.1-3
constexpr double kLargestSpeckMm = 3.5;
constexpr double kProposeLog10Nfa = 0.5;  // generous: find_faults judges

struct Peak {
  cv::Point at;
  double radius_px = 1.0;
  int sign = 1;
  double log10_nfa = 0.0;
};

// Mean over a disc minus mean over the ring around it.
cv::Mat spot_response(const cv::Mat& silver, double radius_px) {
  const int inner = static_cast<int>(std::floor(radius_px));
  const int outer = static_cast<int>(std::ceil(2.5 * radius_px)) + 1;
  cv::Mat kernel(2 * outer + 1, 2 * outer + 1, CV_32FC1, cv::Scalar(0));
  int disc = 0;
  int ring = 0;
  const auto part = [&](int x, int y) {
    const double r = std::hypot(x - outer, y - outer);
    if (r <= inner + 0.5) return 1;
    return r > 1.5 * radius_px + 0.5 && r <= outer ? -1 : 0;
  };
  for (int y = 0; y < kernel.rows; ++y) {
    for (int x = 0; x < kernel.cols; ++x) {
      disc += part(x, y) == 1;
      ring += part(x, y) == -1;
    }
  }
  for (int y = 0; y < kernel.rows; ++y) {
    for (int x = 0; x < kernel.cols; ++x) {
      const int p = part(x, y);
      kernel.at<float>(y, x) = p == 1    ? 1.0F / static_cast<float>(disc)
                               : p == -1 ? -1.0F / static_cast<float>(ring)
                                         : 0.0F;
    }
  }
  cv::Mat response;
  cv::filter2D(silver, response, CV_32F, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  return response;
}

// Large spots are looked for on a shrunk picture: same statistics, a fraction of the work.
struct Level {
  int factor = 1;
  double radius_px = 1.0;  // on this level
  Mask film;
};

Level level_for(const Evidence& evidence, double radius_px) {
  constexpr double kWorkingRadiusPx = 2.0;
  Level level{.factor = std::max(1, static_cast<int>(std::lround(radius_px / kWorkingRadiusPx)))};
  level.radius_px = radius_px / level.factor;
  cv::resize(evidence.film.inside, level.film.inside,
             {evidence.silver.cols / level.factor, evidence.silver.rows / level.factor}, 0, 0,
             cv::INTER_NEAREST);
  return level;
}

cv::Mat on_level(const cv::Mat& silver, const Level& level) {
  if (level.factor == 1) return silver;
  cv::Mat shrunk;
  cv::resize(silver, shrunk, level.film.inside.size(), 0, 0, cv::INTER_AREA);
  return shrunk;
}

void collect_peaks(const cv::Mat& response, const Evidence& evidence, const Level& level, int sign,
                   double log10_tests, std::vector<Peak>& peaks) {
  const double radius_px = level.radius_px;
  const int tile = static_cast<int>(std::lround(
      std::max({96.0, kTileUnits * evidence.px_per_unit / level.factor, kTileRadii * radius_px})));
  const cv::Mat signed_response = response * static_cast<double>(sign);
  const LocalTail tail(signed_response, level.film, tile);
  cv::Mat greatest_near;
  const int reach = 2 * static_cast<int>(std::ceil(radius_px)) + 1;
  cv::dilate(signed_response, greatest_near, cv::getStructuringElement(cv::MORPH_RECT, {reach, reach}));
  for (int y = 0; y < response.rows; ++y) {
    for (int x = 0; x < response.cols; ++x) {
      const float r = signed_response.at<float>(y, x);
      if (r <= 0 || r < greatest_near.at<float>(y, x) || evidence.film.inside.at<std::uint8_t>(y, x) == 0)
        continue;
      const double log10_nfa = log10_tests + tail.log10_probability(x, y, r);
      if (log10_nfa > kProposeLog10Nfa) continue;
      const cv::Point at(x * level.factor + level.factor / 2, y * level.factor + level.factor / 2);
      peaks.push_back({at, radius_px * level.factor, sign, log10_nfa});
    }
  }
}

// The most meaningful of overlapping peaks stays.
std::vector<Peak> without_overlaps(std::vector<Peak> peaks) {
  std::sort(peaks.begin(), peaks.end(),
            [](const Peak& a, const Peak& b) { return a.log10_nfa < b.log10_nfa; });
  std::vector<Peak> kept;
  for (const Peak& peak : peaks) {
    const bool overlaps = std::any_of(kept.begin(), kept.end(), [&](const Peak& k) {
      return cv::norm(k.at - peak.at) < 2.5 * std::max(k.radius_px, peak.radius_px) + 2.0;
    });
    if (!overlaps) kept.push_back(peak);
  }
  return kept;
}

Polygon in_units(const std::vector<cv::Point>& outline, double px_per_unit) {
  Polygon polygon;
  for (const cv::Point& p : outline)
    polygon.push_back({(p.x + 0.5) / px_per_unit, (p.y + 0.5) / px_per_unit});
  return polygon;
}

Polygon with_tail(const std::vector<cv::Point>& head, const CometTail& tail, cv::Point at,
                  double px_per_unit) {
  std::vector<cv::Point> points = head;
  points.emplace_back(at + cv::Point(static_cast<int>(std::lround(tail.direction.x * tail.length_px)),
                                     static_cast<int>(std::lround(tail.direction.y * tail.length_px))));
  std::vector<cv::Point> hull;
  cv::convexHull(points, hull);
  return in_units(hull, px_per_unit);
}

double size_mm(const Blob& blob, const Evidence& evidence) {
  return blob.length_px / evidence.px_per_unit;
}

}  // namespace

std::vector<Candidate> specks(const Evidence& evidence) {
  const double log10_tests = std::log10(static_cast<double>(kPolarities) * kRadiiPx.size() *
                                        std::max(1, cv::countNonZero(evidence.film.inside)));
  std::vector<Peak> peaks;
  for (const double radius : kRadiiPx) {
    const Level level = level_for(evidence, radius);
    // Specks smaller than a working pixel survive only in its least and greatest value.
    const bool smallest = radius <= kRadiiPx.front();
    const cv::Mat both =
        smallest ? cv::Mat() : spot_response(on_level(evidence.silver, level), level.radius_px);
    for (const int sign : {1, -1}) {
      const cv::Mat& extreme = sign > 0 ? evidence.most_silver : evidence.least_silver;
      collect_peaks(smallest ? spot_response(extreme, radius) : both, evidence, level, sign, log10_tests,
                    peaks);
    }
  }
  const TailBackground background(evidence);
  std::vector<Candidate> candidates;
  for (const Peak& peak : without_overlaps(std::move(peaks))) {
    const cv::Mat& source = peak.radius_px <= kRadiiPx.front()
                                ? (peak.sign > 0 ? evidence.most_silver : evidence.least_silver)
                                : evidence.silver;
    const std::optional<Blob> blob = blob_at(source, peak.at, peak.radius_px, peak.sign);
    if (!blob || blob->sharpness < kLeastSharpness || size_mm(*blob, evidence) > kLargestSpeckMm) continue;
    const std::optional<CometTail> tail = background.tail_of(peak.at, blob->width_px / 2.0);
    if (!tail && blob->length_px > kMostElongated * blob->width_px) continue;
    const double unit_area = evidence.px_per_unit * evidence.px_per_unit;
    Candidate candidate{.outline_units = in_units(blob->outline, evidence.px_per_unit),
                        .area = blob->area_px / unit_area,
                        .length = blob->length_px / evidence.px_per_unit,
                        .width = blob->width_px / evidence.px_per_unit,
                        .contrast = blob->contrast,
                        .log10_nfa = peak.log10_nfa,
                        .confidence = std::clamp(0.6 - 0.04 * peak.log10_nfa, 0.3, 0.95)};
    if (tail) {
      candidate.id = "comet";
      candidate.outline_units = with_tail(blob->outline, *tail, peak.at, evidence.px_per_unit);
      candidate.length = tail->length_px / evidence.px_per_unit;
      candidate.angle_deg = screen_angle_deg({0, 0}, {tail->direction.x, tail->direction.y});
    } else {
      candidate.id = peak.sign < 0 && size_mm(*blob, evidence) <= kPinholeMostMm ? "pinhole" : "dust_speck";
    }
    candidates.push_back(std::move(candidate));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
