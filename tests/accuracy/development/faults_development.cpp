#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "accuracy/development/drawn_plate.h"
#include "accuracy/development/photograph_scenes.h"
#include "accuracy/development/show_marks.h"
#include "accuracy/faults_accuracy.h"
#include "platewise/faults/find_faults.h"

namespace platewise::development {
namespace {

using accuracy::FoundMark;
using accuracy::Matching;
using accuracy::Verdict;

Point middle(const Polygon& outline) {
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};
  for (const Point p : outline) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  return 0.5 * (low + high);
}

void print_mistakes(const DrawnPlate& plate, const Faults& faults, const std::vector<FoundMark>& found,
                    const Matching& matching) {
  for (std::size_t m = 0; m < plate.truth.marks.size(); ++m) {
    const heldout::TrueMark& mark = plate.truth.marks[m];
    if (!accuracy::counts(mark) || mark.cnr < accuracy::kLeastCnr) continue;
    if (matching.seen[m] && accuracy::is_speck(mark.id)) continue;
    const Point at = middle(mark.parts_mm.front());
    std::cout << fmt::format("   {} {} {:.2f} mm long, cnr {:.1f}, contrast {:.3f} at {:.1f},{:.1f}\n",
                             matching.seen[m] ? "seen  " : "MISSED", mark.id, mark.length_mm, mark.cnr,
                             mark.contrast, at.x, at.y);
  }
  for (std::size_t f = 0; f < found.size(); ++f) {
    if (matching.verdicts[f] != Verdict::wrong) continue;
    std::cout << fmt::format(
        "   FALSE  {} {:.2f} x {:.2f} mm, log10 NFA {:.1f}, at {:.1f},{:.1f}{}\n", found[f].id,
        faults.found[f].length.value_or(0), faults.found[f].width.value_or(0),
        faults.found[f].log10_nfa.value_or(0), found[f].centre_mm.x, found[f].centre_mm.y,
        matching.lies_on[f] < 0
            ? ""
            : " on " + plate.truth.marks[static_cast<std::size_t>(matching.lies_on[f])].id);
  }
}

int run(int argc, char** argv) {
  DrawnPlan plan;
  int n = 36;
  int first = 0;
  bool list = false;
  std::string folder;
  std::string kind;
  std::string photographs;
  std::vector<std::string> show;
  CLI::App app{
      "Runs the fault detectors on plates of src/demo, for developing them. No accuracy is claimed from it."};
  app.add_option("--n", n, "plates");
  app.add_option("--first", first, "index of the first plate");
  app.add_option("--seed", plan.seed, "start of the random numbers");
  app.add_option("--with", plan.only, "draw these faults alone");
  app.add_option("--of", show, "count these findings alone");
  app.add_option("--kind", kind, "tintype, ambrotype or negative; else in turn");
  app.add_flag("--photo", plan.photo, "phone photos instead of scans");
  app.add_option("--photographs", photographs, "take scenes from this folder's photographs too")
      ->check(CLI::ExistingDirectory);
  app.add_option("--keep", plan.kept_folder, "keep the measured plates here for the next run");
  app.add_option("--folder", folder, "write each plate here with truth and findings");
  app.add_flag("--list", list, "what was missed and what is false, plate by plate");
  CLI11_PARSE(app, argc, argv);
  if (!kind.empty()) plan.kind = from_name<PlateKind>(kind);
  if (!photographs.empty()) plan.photographs = photographs_in(photographs);
  accuracy::FaultsAccuracy accuracy;
  for (int i = first; i < first + n; ++i) {
    const auto plate = drawn_plate(plan, i);
    if (!plate) {
      accuracy.add_not_found();
      continue;
    }
    Faults faults = find_faults(plate->density, plate->regions, {.kind = plate->truth.kind});
    if (!show.empty())
      std::erase_if(faults.found, [&](const Fault& fault) {
        return std::find(show.begin(), show.end(), fault.id) == show.end();
      });
    std::vector<FoundMark> found;
    for (const Fault& fault : faults.found)
      found.push_back({fault.id, fault.outline_units, middle(fault.outline_units), fault.angle_deg});
    const Matching matching = accuracy::matched(found, plate->truth);
    accuracy.add(plate->truth, found, matching);
    if (list) {
      std::cout << plate->truth.story << '\n';
      print_mistakes(*plate, faults, found, matching);
    }
    if (!folder.empty()) show_marks(*plate, found, matching, folder, fmt::format("{:03}", i));
  }
  accuracy.print(std::cout, "FAULTS on plates of src/demo, true corners");
  return 0;
}

}  // namespace
}  // namespace platewise::development

int main(int argc, char** argv) {
  return platewise::development::run(argc, argv);
}
