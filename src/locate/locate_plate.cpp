#include "platewise/locate/locate_plate.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "outline_search.h"
#include "plate_scale.h"
#include "refine_sides.h"
#include "search_image.h"
#include "surround.h"

namespace platewise {
namespace {

// Lowest quality of an outline that is called a plate. Of 115 desktop photographs without a plate one passes.
constexpr double kLeastQuality = 0.45;
constexpr int kLeastSidesSeen = 3;

Quad scaled(const Quad& quad, double factor) {
  Quad result;
  for (std::size_t i = 0; i < 4; ++i) result[i] = factor * quad[i];
  return result;
}

// Any four corners into the order top left, top right, bottom right, bottom left.
Quad in_reading_order(Quad corners) {
  Point centre{};
  for (const Point p : corners) centre = centre + 0.25 * p;
  std::sort(corners.begin(), corners.end(), [&](Point a, Point b) {
    return std::atan2(a.y - centre.y, a.x - centre.x) < std::atan2(b.y - centre.y, b.x - centre.x);
  });
  const auto first = std::min_element(corners.begin(), corners.end(),
                                      [](Point a, Point b) { return a.x + a.y < b.x + b.y; });
  std::rotate(corners.begin(), first, corners.end());
  return corners;
}

// Renames the scan's corners as seen upright and from the film side.
Quad in_plate_order(const Quad& scan_order, const LocateOptions& options) {
  const auto turns = static_cast<std::size_t>(((options.rotate_deg / 90) % 4 + 4) % 4);
  Quad corners;
  for (std::size_t i = 0; i < 4; ++i) corners[i] = scan_order[(i + 4 - turns) % 4];
  if (options.side == Side::glass) {
    std::swap(corners[0], corners[1]);
    std::swap(corners[3], corners[2]);
  }
  return corners;
}

// A flatbed shows right angles, a camera's perspective does not.
bool in_perspective(const Quad& corners) {
  constexpr double kCutting_deg = 2.0;  // hand-cut plates stay below (common practice)
  for (std::size_t i = 0; i < 4; ++i) {
    const Point u = corners[(i + 1) % 4] - corners[i];
    const Point v = corners[(i + 3) % 4] - corners[i];
    const double angle = std::atan2(std::abs(u.x * v.y - u.y * v.x), u.x * v.x + u.y * v.y);
    if (std::abs(angle * 180.0 / std::numbers::pi - 90.0) > kCutting_deg) return true;
  }
  return false;
}

// The chance that all four corners are right, from what was seen of the sides.
double confidence_of(const OutlineCandidate& candidate, const RefinedOutline& refined) {
  constexpr double kSure = 0.85;     // quality from which nothing is doubtful
  constexpr double kGuessed = 0.75;  // factor for a side that is the frame or hardly seen
  constexpr double kFirmSide = 0.6;  // share of profiles on the line
  double confidence =
      0.5 + 0.48 * std::clamp((candidate.quality - kLeastQuality) / (kSure - kLeastQuality), 0.0, 1.0);
  for (std::size_t i = 0; i < 4; ++i) {
    if (candidate.at_frame[i] || candidate.support[i] < 0.5) {
      confidence *= kGuessed;
    } else {
      confidence *= std::min(1.0, 0.5 + 0.5 * refined.support[i] / kFirmSide);
    }
  }
  return confidence;
}

// A second outline of nearly the same quality beside the first.
bool another_beside(const std::vector<OutlineCandidate>& candidates) {
  constexpr double kAsGood = 0.2;
  const OutlineCandidate& first = candidates.front();
  const auto apart = [&](const OutlineCandidate& other) {
    Point centre{};
    for (const Point p : other.corners) centre = centre + 0.25 * p;
    for (std::size_t i = 0; i < 4; ++i) {
      const Point a = first.corners[i];
      const Point b = first.corners[(i + 1) % 4];
      const double reach = -1.0;
      const auto outside = [&](Point p) {
        return ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / distance(a, b) < reach;
      };
      if (std::all_of(other.corners.begin(), other.corners.end(), outside)) return true;
    }
    return false;
  };
  return std::any_of(candidates.begin(), candidates.end(), [&](const OutlineCandidate& other) {
    return other.quality > std::max(kLeastQuality, first.quality - kAsGood) && other.sides_seen() == 4 &&
           apart(other);
  });
}

void finish(PlateOutline& outline, const Quad& scan_order_px, const Scan& scan,
            const LocateOptions& options) {
  outline.found = true;
  outline.corners_px = in_plate_order(scan_order_px, options);
  outline.photo = scan.from_camera || in_perspective(scan_order_px);
  outline.scale = plate_scale(scan, outline.corners_px, outline.photo, options, outline.warnings);
  const Surround surround = surround_of(scan.image, scaled(scan_order_px, 1.0 / scan.scan_px_per_working_px));
  outline.surround_luminance = surround.luminance;
  outline.surround_is_white = surround.white;
}

PlateOutline of_given_corners(const Scan& scan, const LocateOptions& options) {
  PlateOutline outline;
  outline.source = OutlineSource::given;
  const Quad corners = in_reading_order(*options.corners_px);
  if (!is_convex(corners)) {
    outline.warnings.push_back(
        "The four --corners do not enclose a plate: they must be four different points, none inside the "
        "triangle of the others.");
    return outline;
  }
  outline.confidence = 1.0;
  finish(outline, corners, scan, options);
  return outline;
}

PlateOutline of_whole_frame(const Scan& scan, double confidence, const LocateOptions& options) {
  PlateOutline outline;
  outline.source = OutlineSource::frame;
  outline.confidence = std::min(confidence, 0.6);  // the contract's limit
  finish(outline, rectangle(scan.width_px, scan.height_px), scan, options);
  outline.surround_luminance.reset();
  outline.surround_is_white = false;
  return outline;
}

PlateOutline nothing_found() {
  PlateOutline outline;
  outline.warnings.push_back(
      "No plate was found: no four straight sides stand out from the ground around them. If this is a plate, "
      "give its corners with --corners x,y,x,y,x,y,x,y, or --corners frame if it fills the scan.");
  return outline;
}

}  // namespace

Homography PlateOutline::scan_from_plate() const {
  return target_from_source(rectangle(scale.width_units, scale.height_units), corners_px);
}

PlateOutline locate_plate(const Scan& scan, const LocateOptions& options) {
  if (options.corners_px) return of_given_corners(scan, options);
  if (options.whole_frame) return of_whole_frame(scan, 0.6, options);
  const SearchImage search = search_image(scan.image);
  const std::vector<OutlineCandidate> candidates = outline_candidates(search);
  if (candidates.empty() || candidates.front().quality < kLeastQuality ||
      candidates.front().sides_seen() < kLeastSidesSeen)
    return nothing_found();
  const OutlineCandidate& best = candidates.front();
  Quad coarse;
  for (std::size_t i = 0; i < 4; ++i) coarse[i] = search.working_px(best.corners[i]);
  const RefinedOutline refined =
      refined_outline(scan.image, coarse, search.working_px_per_px_x, best.at_frame);
  PlateOutline outline;
  outline.confidence = confidence_of(best, refined);
  finish(outline, scaled(refined.corners_working_px, scan.scan_px_per_working_px), scan, options);
  if (another_beside(candidates)) {
    outline.warnings.push_back(
        "More than one plate lies in this scan: the largest was taken. Crop the scan or give --corners for "
        "another.");
  }
  for (std::size_t i = 0; i < 4; ++i) {
    if (!best.at_frame[i] && best.support[i] >= 0.5) continue;
    outline.warnings.push_back(
        "One side of the plate is hardly seen or lies at the scan's own edge: check the outline, or give "
        "--corners.");
    break;
  }
  return outline;
}

}  // namespace platewise
