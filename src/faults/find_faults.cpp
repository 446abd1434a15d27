#include "platewise/faults/find_faults.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <set>

#include "platewise/core/in_order.h"
#include "platewise/faults/detector.h"
#include "platewise/knowledge/cautions.h"
#include "platewise/knowledge/fault_table.h"

namespace platewise {
namespace {

constexpr double kFalseFaultsOnACleanPlate = 0.2;

double log10_nfa_limit() {
  return std::log10(kFalseFaultsOnACleanPlate / static_cast<double>(detectors().size()));
}

// Severity 0..1 = 1 - (1 - area part)(1 - contrast part): area part reaches 1/2 at 1 % of the plate,
// contrast part is half of the contrast in density, at most 1/2 (common practice, no source).
double severity(const Candidate& candidate, double plate_area) {
  const double share = candidate.area / std::max(plate_area, 1e-9);
  const double area_part = share / (share + 0.01);
  const double contrast_part = std::min(0.5, 0.5 * candidate.contrast);
  return std::clamp(1.0 - (1.0 - area_part) * (1.0 - contrast_part * std::min(1.0, share / 1e-4)), 0.0, 1.0);
}

Fault named(const Candidate& candidate, double plate_area) {
  Fault fault{.id = std::string(candidate.id),
              .area = candidate.area,
              .length = candidate.length,
              .width = candidate.width,
              .angle_deg = candidate.angle_deg,
              .severity = severity(candidate, plate_area),
              .log10_nfa = candidate.log10_nfa,
              .confidence = candidate.confidence,
              .outline_units = candidate.outline_units,
              .likely_causes = likely_causes(candidate.id),
              .remedies = remedies(candidate.id),
              .cautions = cautions_for(candidate.id)};
  Point low{1e300, 1e300};
  Point high{-1e300, -1e300};
  for (const Point& p : candidate.outline_units) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  fault.box_origin = low;
  fault.box_width = high.x - low.x;
  fault.box_height = high.y - low.y;
  return fault;
}

std::string not_looked_for() {
  std::set<std::string_view> looked_for;
  for (const Detector& detector : detectors()) looked_for.insert(detector.ids.begin(), detector.ids.end());
  std::string list;
  for (const KnownFault& fault : known_faults()) {
    if (fault.seen == Seen::by_eye || looked_for.contains(fault.id)) continue;
    std::string name = fault.id;
    std::replace(name.begin(), name.end(), '_', ' ');
    list += (list.empty() ? "" : ", ") + name;
  }
  return "these faults are not looked for, check them by eye: " + list;
}

std::string smallest_size(double px_per_unit, bool millimetres) {
  std::string text = "smallest mark that can be found:";
  for (const Detector& detector : detectors()) {
    text += fmt::format(" {:.2f} {} for {};", detector.smallest_px / px_per_unit,
                        millimetres ? "mm" : "% of the long side", detector.looks_for);
  }
  text.pop_back();
  return text;
}

}  // namespace

Faults find_faults(const PlateDensity& plate, const Regions& regions, const FaultsOptions& options) {
  const Evidence evidence = gathered(plate, regions, options.kind, options.millimetres);
  const double px_per_unit = evidence.px_per_unit;
  const double plate_area = static_cast<double>(plate.image.density.total()) / (px_per_unit * px_per_unit);
  Faults faults;
  // On as many threads as pictures are worked on with: one plate alone has the whole machine.
  in_order(
      detectors().size(), static_cast<std::size_t>(cv::getNumThreads()),
      [&](std::size_t i) { return detectors()[i].propose(evidence); },
      [&](const std::vector<Candidate>& candidates, std::size_t) {
        for (const Candidate& candidate : candidates) {
          if (candidate.log10_nfa && *candidate.log10_nfa > log10_nfa_limit()) continue;
          faults.found.push_back(named(candidate, plate_area));
        }
      });
  std::stable_sort(faults.found.begin(), faults.found.end(),
                   [](const Fault& a, const Fault& b) { return a.severity > b.severity; });
  faults.warnings.push_back(smallest_size(px_per_unit, options.millimetres));
  if (std::string missing = not_looked_for(); !missing.ends_with(": "))
    faults.warnings.push_back(std::move(missing));
  return faults;
}

}  // namespace platewise
