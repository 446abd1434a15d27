#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "../blob.h"
#include "../comet_tail.h"
#include "../lens_spots.h"
#include "../picture_softness.h"
#include "../spots.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kMostElongated = 3.0;  // longer is a line: picture or scratch
constexpr double kPinholeMostMm = 0.3;  // handbook: pinhole 0.02-0.3, dust 0.1-3
constexpr double kLargestSpeckMm = 3.5;
constexpr double kProposeLog10Nfa = 0.5;    // generous: find_faults judges
constexpr double kMostSofterBy = 3.0;       // sigma; softer than the lens draws is out of focus: picture
constexpr double kCometHeadEvenness = 5.0;  // its tail lies on one side of it

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

// How often the picture itself would show such a spot: it would have to stand so far out of an uneven ground
// by chance, and have an outline so much harder than the lens draws.
double log10_nfa_of_picture(const Spot& spot, double harder_by) {
  return spot.log10_nfa_uneven + (harder_by > 0.0 ? log10_normal_tail(harder_by) : 0.0);
}

double size_mm(const Blob& blob, const Evidence& evidence) {
  return blob.length_px / evidence.px_per_unit;
}

}  // namespace

std::vector<Candidate> specks(const Evidence& evidence) {
  const std::optional<double> softness = picture_softness_px(evidence);
  const std::optional<LensSpots> lens = softness ? std::optional(LensSpots(*softness)) : std::nullopt;
  std::optional<TailBackground> background;  // many plates have no spot that may be a comet's head
  std::vector<Candidate> candidates;
  for (const Spot& spot : isolated_spots(evidence, kProposeLog10Nfa)) {
    const std::optional<Blob> blob = blob_at(evidence.silver, spot.at, spot.radius_px, spot.sign);
    if (!blob || size_mm(*blob, evidence) > kLargestSpeckMm) continue;
    const double harder_by = lens ? lens->steeper_by(*blob) : 0.0;
    if (harder_by < -kMostSofterBy) continue;
    const bool may_be_head = spot.evenness >= kCometHeadEvenness;
    if (may_be_head && !background) background.emplace(evidence);
    const std::optional<CometTail> tail =
        may_be_head ? background->tail_of(spot.at, blob->width_px / 2.0) : std::nullopt;
    if (!tail && blob->length_px > kMostElongated * blob->width_px) continue;
    const double of_picture = log10_nfa_of_picture(spot, harder_by);
    const double log10_nfa = tail ? tail->log10_nfa : std::max(spot.log10_nfa, of_picture);
    const double unit_area = evidence.px_per_unit * evidence.px_per_unit;
    Candidate candidate{.outline_units = in_units(blob->outline, evidence.px_per_unit),
                        .area = blob->area_px / unit_area,
                        .length = blob->length_px / evidence.px_per_unit,
                        .width = blob->width_px / evidence.px_per_unit,
                        .contrast = blob->contrast,
                        .log10_nfa = log10_nfa,
                        .confidence = std::clamp(0.6 - 0.04 * log10_nfa, 0.3, 0.95)};
    if (tail) {
      candidate.id = "comet";
      candidate.outline_units = with_tail(blob->outline, *tail, spot.at, evidence.px_per_unit);
      candidate.length = tail->length_px / evidence.px_per_unit;
      candidate.angle_deg = screen_angle_deg({0, 0}, {tail->direction.x, tail->direction.y});
    } else {
      candidate.id = spot.sign < 0 && size_mm(*blob, evidence) <= kPinholeMostMm ? "pinhole" : "dust_speck";
    }
    candidates.push_back(std::move(candidate));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
