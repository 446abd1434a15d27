#include "platewise/locate/locate_plate.h"

#include <algorithm>
#include <opencv2/core.hpp>
#include <string>

#include "corner_order.h"
#include "doubts.h"
#include "judge_outline.h"
#include "outline_search.h"
#include "plate_scale.h"
#include "plate_within.h"
#include "printed.h"
#include "refine_sides.h"
#include "search_image.h"
#include "surround.h"

namespace platewise {
namespace {

constexpr int kLeastSidesSeen = 3;

// Share of the ground of one tone. On 32 drawn scans whose edges show it is 0.98 and more; round a rim's
// opening or a window in the scene it is mostly below 0.8.
constexpr double kLeastEven = 0.8;
constexpr double kEvenWithoutDoubt = 0.93;
constexpr double kLeastEvenBesideOther = 0.5;  // a second plate that is hardly seen takes its part
// A scanner's bed is even but for dust: 0.98 and more on drawn scans. A rim shows the film's edge, bare
// support, the plate's own edge here and there.
constexpr double kEvenAsABed = 0.96;
// So wide may a holder's rim be, share of the opening's side: a bed that shows less of itself may be a rim.
constexpr double kWidestRim = 0.12;
constexpr double kOutlineAlone = 0.35;  // confidence below which something of a plate must be seen as well
constexpr double kBesideAnOutline =
    0.45;                                // the frame's confidence where four sides speak for another outline
constexpr double kEnoughEvidence = 0.5;  // of a plate, by what is seen of rim and bare support

void finish(PlateOutline& outline, const Quad& scan_order_px, const Scan& scan, const LocateOptions& options,
            bool photo) {
  outline.found = true;
  outline.corners_px = in_plate_order(scan_order_px, options);
  outline.photo = photo;
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
  finish(outline, corners, scan, options, scan.from_camera || in_perspective(corners));
  return outline;
}

PlateOutline of_whole_frame(const Scan& scan, double confidence, const LocateOptions& options) {
  PlateOutline outline;
  outline.source = OutlineSource::frame;
  outline.confidence = std::min(confidence, 0.6);  // the contract's limit
  finish(outline, rectangle(scan.width_px, scan.height_px), scan, options, scan.from_camera);
  outline.surround_luminance.reset();
  outline.surround_is_white = false;
  return outline;
}

PlateOutline nothing_found(const std::string& why) {
  PlateOutline outline;
  outline.warnings.push_back("No plate was found: " + why +
                             " If this is a plate, give its corners with --corners x,y,x,y,x,y,x,y, or "
                             "--corners frame if it fills the scan.");
  return outline;
}

// The frame as the plate, if something of a plate is seen in it; else nothing.
PlateOutline frame_or_nothing(const Scan& scan, const SearchImage& search, const LocateOptions& options,
                              const std::string& why_nothing, double most_confidence = 0.6) {
  const Quad frame = rectangle(scan.image.cols(), scan.image.rows());
  const Quad search_frame = rectangle(search.cols(), search.rows());
  if (looks_like_a_page(search, search_frame) || bears_text(search, search_frame) ||
      looks_like_a_screen(scan.image, frame))
    return nothing_found(why_nothing);
  const double evidence = evidence_within(scan.image, frame);
  if (evidence < kEnoughEvidence) return nothing_found(why_nothing);
  PlateOutline outline = of_whole_frame(scan, most_confidence * evidence, options);
  outline.warnings.push_back(
      "The plate seems to fill the scan: its edges are not seen, the frame was taken for the plate.");
  return outline;
}

// The widest band between the outline and the scan's frame, share of the outline's side across it. Nothing
// where the outline itself leaves the frame.
double widest_band(const LinearImage& image, const Quad& c) {
  const double width = 0.5 * (distance(c[0], c[1]) + distance(c[3], c[2]));
  const double height = 0.5 * (distance(c[0], c[3]) + distance(c[1], c[2]));
  return std::max({0.5 * (c[0].y + c[1].y) / height, (image.cols() - 0.5 * (c[1].x + c[2].x)) / width,
                   (image.rows() - 0.5 * (c[2].y + c[3].y)) / height, 0.5 * (c[0].x + c[3].x) / width});
}

// Two sides are enough where the other two lie at the frame and something of a plate is seen between them: it
// reaches over a corner of the scan.
bool enough_sides(const OutlineCandidate& best, const LinearImage& image, const SearchImage& search) {
  if (best.sides_seen() >= kLeastSidesSeen) return true;
  if (best.sides_seen() != 2 || std::count(best.at_frame.begin(), best.at_frame.end(), true) != 2)
    return false;
  Quad corners;
  for (std::size_t i = 0; i < 4; ++i) corners[i] = search.working_px(best.corners[i]);
  return evidence_within(image, corners) >= kEnoughEvidence;
}

// A photo taken squarely says nothing of a camera once its notes are gone: then four clear sides with more
// ground than a rim shows round them tell cloth or wood from a picture's surroundings. On 360 pictures that
// are no plates the sides reach 0.82; on 500 more 0.87, but then the edges do not lie on straight lines.
// A window in a plate that fills the scan is as clear: there the frame shows the plate's rim.
bool lies_on_a_table(const LinearImage& image, const OutlineCandidate& best, const RefinedOutline& refined) {
  constexpr double kClear = 0.85;
  constexpr double kSureBeyondDoubt = 0.93;
  return best.sides_seen() == 4 && best.quality >= kClear &&
         widest_band(image, refined.corners_working_px) > kWidestRim &&
         (evidence_within(image, refined.corners_working_px) >= kEnoughEvidence ||
          (confidence_of(best, refined) >= kSureBeyondDoubt &&
           evidence_within(image, rectangle(image.cols(), image.rows())) < kEnoughEvidence));
}

// Whether the plate or only the opening of its rim was found. A dark ground of a rim's width may be the rim:
// is it even, it may as well be the bed.
RimDoubt doubt_of(const Scan& scan, const RefinedOutline& refined, bool table, double even_ground) {
  const RimDoubt doubt = rim_doubt(scan.image, refined.corners_working_px);
  if (table) return doubt;
  const bool as_a_rim = widest_band(scan.image, refined.corners_working_px) < kWidestRim &&
                        ground_is_dark(scan.image, refined.corners_working_px);
  if (doubt == RimDoubt::looks_like_rim && even_ground < kEvenAsABed) return doubt;
  if (even_ground < kEvenWithoutDoubt) return RimDoubt::may_be_rim;
  return as_a_rim || doubt != RimDoubt::none ? RimDoubt::may_be_rim : RimDoubt::none;
}

PlateOutline seen_outline(const Scan& scan, const LocateOptions& options,
                          const std::vector<OutlineCandidate>& candidates, const RefinedOutline& refined,
                          RimDoubt doubt, bool alone, bool photo) {
  const OutlineCandidate& best = candidates.front();
  PlateOutline outline;
  outline.confidence = confidence_of(best, refined);
  finish(outline, scaled(refined.corners_working_px, scan.scan_px_per_working_px), scan, options, photo);
  if (doubt == RimDoubt::may_be_rim) {
    constexpr double kEvenChance = 0.45;
    outline.confidence = std::min(outline.confidence, kEvenChance);
    outline.warnings.push_back(
        "The ground is as dark as a plate's rim: the outline may be the rim's inner edge. Check it, or give "
        "--corners.");
  }
  if (!alone) {
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
      !enough_sides(candidates.front(), scan.image, search)) {
    return frame_or_nothing(scan, search, options,
                            "no four straight sides stand out from the ground around them.");
  }
  const OutlineCandidate& best = candidates.front();
  Quad coarse;
  for (std::size_t i = 0; i < 4; ++i) coarse[i] = search.working_px(best.corners[i]);
  if (looks_like_a_page(search, best.corners) || bears_text(search, best.corners) ||
      lies_on_text(search, best.corners))
    return nothing_found("what lies there looks like a written or printed page.");
  if (is_flat_between_edges(search, best.corners))
    return nothing_found("what lies there has no tones between its flat areas: it looks like a drawing.");
  if (looks_like_a_screen(scan.image, coarse))
    return nothing_found("what is shown there was drawn by a computer, not scanned.");
  const RefinedOutline refined =
      refined_outline(scan.image, coarse, search.working_px_per_px_x, best.at_frame);
  std::vector<Quad> plates = others_beside(candidates);
  const bool alone = plates.empty();
  plates.push_back(best.corners);
  const double even_ground = even_ground_share(search, plates);
  const bool uneven = even_ground < (alone ? kLeastEven : kLeastEvenBesideOther);
  const bool table = scan.from_camera || in_perspective(refined.corners_working_px) ||
                     (uneven && lies_on_a_table(scan.image, best, refined));
  if (!table && uneven) {
    return frame_or_nothing(scan, search, options,
                            "four straight sides are seen, but what lies around them is no even scanner bed.",
                            kBesideAnOutline);
  }
  const RimDoubt doubt = doubt_of(scan, refined, table, even_ground);
  if (doubt == RimDoubt::looks_like_rim) {
    return frame_or_nothing(scan, search, options,
                            "a picture stands out of the black, but the plate's own edge does not: what is "
                            "seen looks like the opening of its dark rim.");
  }
  PlateOutline outline = seen_outline(scan, options, candidates, refined, doubt, alone, table);
  const bool doubtful_ground = !table && alone && even_ground < kEvenWithoutDoubt;
  if ((outline.confidence < kOutlineAlone || doubtful_ground) &&
      evidence_within(scan.image, refined.corners_working_px) < kEnoughEvidence) {
    return frame_or_nothing(scan, search, options,
                            "four straight sides are hardly seen, and nothing between them shows a plate.");
  }
  return outline;
}

}  // namespace platewise
