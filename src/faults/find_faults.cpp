#include "platewise/faults/find_faults.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <iterator>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <set>

#include "platewise/core/in_order.h"
#include "platewise/faults/detector.h"
#include "platewise/knowledge/cautions.h"
#include "platewise/knowledge/fault_table.h"
#include "same_scene.h"
#include "severity.h"

namespace platewise {
namespace {

constexpr double kFalseFaultsOnACleanPlate = 0.2;

double log10_nfa_limit(bool colour) {
  const auto looking = std::count_if(detectors().begin(), detectors().end(), [&](const Detector& detector) {
    return colour || !detector.needs_colour;
  });
  return std::log10(kFalseFaultsOnACleanPlate / static_cast<double>(looking));
}

Fault named(const Candidate& candidate, double plate_area, const FaultsOptions& options) {
  Fault fault{.id = std::string(candidate.id),
              .area = candidate.area,
              .length = candidate.length,
              .width = candidate.width,
              .angle_deg = candidate.angle_deg,
              .severity = severity(candidate, plate_area, options.subject_units),
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

// How far the middle of a fault lies inside another's outline, negative outside; units.
double depth_in(const Fault& other, const Fault& fault) {
  std::vector<cv::Point2f> outline;
  outline.reserve(other.outline_units.size());
  for (const Point& p : other.outline_units)
    outline.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
  const cv::Point2f middle(static_cast<float>(fault.box_origin.x + fault.box_width / 2),
                           static_cast<float>(fault.box_origin.y + fault.box_height / 2));
  return cv::pointPolygonTest(outline, middle, true);
}

// Takes out those that are no fault of their own but part of one of `wholes`.
template <class IsWhole, class IsPart>
void drop_parts(std::vector<Fault>& faults, IsWhole is_whole, IsPart is_part) {
  std::vector<Fault> wholes;
  std::copy_if(faults.begin(), faults.end(), std::back_inserter(wholes), is_whole);
  std::erase_if(faults, [&](const Fault& fault) {
    return std::any_of(wholes.begin(), wholes.end(),
                       [&](const Fault& whole) { return is_part(fault, whole); });
  });
}

bool is_any_of(const Fault& fault, std::initializer_list<std::string_view> ids) {
  return std::find(ids.begin(), ids.end(), fault.id) != ids.end();
}

// A hard bit of the border of missing film, or dust on the bare support, is no speck of its own.
void drop_parts_of_missing_film(std::vector<Fault>& faults) {
  constexpr double kBesideUnits = 0.8;
  drop_parts(
      faults,
      [](const Fault& fault) {
        return is_any_of(fault, {"tear_hole", "frilling", "uncovered_corner"});
      },
      [](const Fault& fault, const Fault& missing) {
        return is_any_of(fault, {"pinhole", "dust_speck", "comet"}) &&
               depth_in(missing, fault) > -kBesideUnits;
      });
}

// The head of a comet is no speck of its own, nor a hole where it was torn out.
void drop_heads_of_comets(std::vector<Fault>& faults) {
  constexpr double kBesideUnits = 0.3;
  constexpr double kLargestOfWidth = 1.8;
  drop_parts(
      faults, [](const Fault& fault) { return fault.id == "comet"; },
      [](const Fault& fault, const Fault& comet) {
        return is_any_of(fault, {"pinhole", "dust_speck", "tear_hole"}) &&
               std::max(fault.box_width, fault.box_height) <= kLargestOfWidth * comet.width.value_or(0.0) &&
               depth_in(comet, fault) > -kBesideUnits;
      });
}

std::string not_looked_for(bool colour) {
  std::set<std::string_view> looked_for;
  for (const Detector& detector : detectors())
    if (colour || !detector.needs_colour) looked_for.insert(detector.ids.begin(), detector.ids.end());
  std::string list;
  for (const KnownFault& fault : known_faults()) {
    if (fault.seen == Seen::by_eye || looked_for.contains(fault.id)) continue;
    std::string name = fault.id;
    std::replace(name.begin(), name.end(), '_', ' ');
    list += (list.empty() ? "" : ", ") + name;
  }
  return std::string("these faults are not looked for") +
         (colour ? "" : " (a grey scan shows none of colour)") + ", check them by eye: " + list;
}

std::string smallest_size(double px_per_unit, bool millimetres, bool colour) {
  std::string text = "smallest mark that can be found:";
  for (const Detector& detector : detectors()) {
    if (detector.needs_colour && !colour) continue;
    text += fmt::format(" {:.2f} {} for {};", detector.smallest_px / px_per_unit,
                        millimetres ? "mm" : "% of the long side", detector.looks_for);
  }
  text.pop_back();
  return text;
}

bool has(const Faults& faults, std::string_view id) {
  return std::any_of(faults.found.begin(), faults.found.end(),
                     [&](const Fault& fault) { return fault.id == id; });
}

void say_what_was_taken_for_given(Faults& faults, const Handling& handling) {
  if (!handling.dip_edge && has(faults, "bath_halt_line"))
    faults.warnings.push_back(
        "--dip-edge was not given: the plate is taken to have entered the silver bath with its lower edge "
        "first, so that lines where it halted run from side to side. Say --dip-edge if it was another.");
  const auto ridges = std::find_if(faults.found.begin(), faults.found.end(),
                                   [](const Fault& fault) { return fault.id == "pour_ridges"; });
  if (!handling.drain_corner && ridges != faults.found.end() && ridges->angle_deg)
    faults.warnings.push_back(fmt::format(
        "--drain-corner was not given: the ridges of the pour point at the {} corner, so that the collodion is "
        "taken to have drained from one of these two.",
        *ridges->angle_deg > 90.0 ? "top left and the bottom right" : "bottom left and the top right"));
}

}  // namespace

Faults find_faults(const PlateDensity& plate, const Regions& regions, const FaultsOptions& options) {
  Evidence evidence = gathered(plate, regions, options.kind, options.millimetres);
  evidence.handling = options.handling;
  const double px_per_unit = evidence.px_per_unit;
  const double plate_area = static_cast<double>(plate.image.density.total()) / (px_per_unit * px_per_unit);
  const bool colour = !evidence.colour.empty();
  const double log10_nfa_most = log10_nfa_limit(colour);
  Faults faults;
  // On as many threads as pictures are worked on with: one plate alone has the whole machine.
  in_order(
      detectors().size(), static_cast<std::size_t>(cv::getNumThreads()),
      [&](std::size_t i) { return detectors()[i].propose(evidence); },
      [&](const std::vector<Candidate>& candidates, std::size_t) {
        for (const Candidate& candidate : candidates) {
          if (candidate.log10_nfa && *candidate.log10_nfa > log10_nfa_most) continue;
          faults.found.push_back(named(candidate, plate_area, options));
        }
      });
  drop_heads_of_comets(faults.found);
  drop_parts_of_missing_film(faults.found);
  if (options.same_scene) {
    if (const int taken_out = judge_by_same_scene(faults.found, evidence, *options.same_scene); taken_out > 0)
      faults.warnings.push_back(
          fmt::format("{} of the marks found stand on the reference scan too: they belong to the picture and "
                      "were left out",
                      taken_out));
  }
  std::stable_sort(faults.found.begin(), faults.found.end(),
                   [](const Fault& a, const Fault& b) { return a.severity > b.severity; });
  say_what_was_taken_for_given(faults, options.handling);
  faults.warnings.push_back(smallest_size(px_per_unit, options.millimetres, colour));
  if (std::string missing = not_looked_for(colour); !missing.ends_with(": "))
    faults.warnings.push_back(std::move(missing));
  return faults;
}

}  // namespace platewise
