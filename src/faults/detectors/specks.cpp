#include <algorithm>
#include <cmath>

#include "../blob.h"
#include "../lens_spots.h"
#include "../picture_softness.h"
#include "../picture_spots.h"
#include "../spots.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kMostElongated = 3.0;  // longer is a line: picture or scratch
constexpr double kPinholeMostMm = 0.3;  // handbook: pinhole 0.02-0.3, dust 0.1-3
constexpr double kLargestSpeckMm = 3.5;
constexpr double kProposeLog10Nfa = 0.5;  // generous: find_faults judges
constexpr double kMostSofterBy = 3.0;     // sigma; softer than the lens draws is out of focus: picture
constexpr double kLeastEvenness = 4.0;

struct Speck {
  Spot spot;
  Blob blob;
  SpotLook look;
};

Polygon in_units(const std::vector<cv::Point>& outline, double px_per_unit) {
  Polygon polygon;
  for (const cv::Point& p : outline)
    polygon.push_back({(p.x + 0.5) / px_per_unit, (p.y + 0.5) / px_per_unit});
  return polygon;
}

// Every compact spot that noise does not explain, of the picture or not.
std::vector<Speck> compact_spots(const Evidence& evidence) {
  const LensSpots lens(lens_softness_px(evidence));
  std::vector<Speck> specks;
  for (const Spot& spot : isolated_spots(evidence, kProposeLog10Nfa)) {
    std::optional<Blob> blob = blob_at(evidence.silver, spot.at, spot.radius_px, spot.sign);
    if (!blob || blob->length_px > kMostElongated * blob->width_px) continue;
    const Point at{(spot.at.x + 0.5) / evidence.px_per_unit, (spot.at.y + 0.5) / evidence.px_per_unit};
    const SpotLook look{at, spot.evenness, lens.steeper_by(*blob)};
    specks.push_back({spot, std::move(*blob), look});
  }
  return specks;
}

Candidate candidate_of(const Speck& speck, double px_per_unit, double log10_nfa) {
  const double length = speck.blob.length_px / px_per_unit;
  return {.id = speck.spot.sign < 0 && length <= kPinholeMostMm ? "pinhole" : "dust_speck",
          .outline_units = in_units(speck.blob.outline, px_per_unit),
          .area = speck.blob.area_px / (px_per_unit * px_per_unit),
          .length = length,
          .width = speck.blob.width_px / px_per_unit,
          .contrast = speck.blob.contrast,
          .log10_nfa = log10_nfa,
          .confidence = std::clamp(0.6 - 0.04 * log10_nfa, 0.3, 0.95)};
}

}  // namespace

// Chance has two faces: grain and texture, judged spot by spot, and the picture's own spots, judged for all
// specks of the plate together.
std::vector<Candidate> specks(const Evidence& evidence) {
  const std::vector<Speck> all = compact_spots(evidence);
  std::vector<SpotLook> looks;
  looks.reserve(all.size());
  for (const Speck& speck : all) looks.push_back(speck.look);
  const double area = cv::countNonZero(evidence.film.inside) / (evidence.px_per_unit * evidence.px_per_unit);
  const PictureSpots picture(looks, area);
  std::vector<const Speck*> may_be_specks;
  std::vector<double> of_picture;
  for (const Speck& speck : all) {
    if (speck.look.harder_by < -kMostSofterBy || speck.look.evenness < kLeastEvenness ||
        speck.blob.length_px > kLargestSpeckMm * evidence.px_per_unit)
      continue;
    may_be_specks.push_back(&speck);
    of_picture.push_back(std::max(speck.spot.log10_nfa, picture.log10_expected(speck.look)));
  }
  of_picture = log10_nfa_shared(of_picture);
  std::vector<Candidate> candidates;
  candidates.reserve(may_be_specks.size());
  for (std::size_t i = 0; i < may_be_specks.size(); ++i)
    candidates.push_back(candidate_of(*may_be_specks[i], evidence.px_per_unit,
                                      std::max(may_be_specks[i]->spot.log10_nfa, of_picture[i])));
  return candidates;
}

}  // namespace platewise::fault_detectors
