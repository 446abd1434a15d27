#include "accuracy/faults_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "accuracy/fault_matching.h"
#include "accuracy/faults_accuracy.h"
#include "accuracy/overlay.h"
#include "platewise/pipeline/score_plate.h"

namespace platewise::accuracy {
namespace {

using heldout::FaultRendering;

struct Judged {
  std::vector<FoundMark> found;
  Matching matching;
};

std::optional<Judged> judged(const FaultRendering& rendering, const std::filesystem::path& file,
                             bool true_corners) {
  ScoreOptions options;
  options.kind = rendering.kind;
  if (true_corners) options.locate.corners_px = rendering.corners_px;
  options.locate.plate_size = PlateSizeMm{rendering.width_mm, rendering.height_mm, std::nullopt};
  const Result<PlateScore> score = score_plate(file, options);
  if (!score) {
    std::cerr << score.error().message() << '\n';
    return std::nullopt;
  }
  if (!score->outline.found || !score->density) return std::nullopt;
  Judged out;
  out.found = in_true_mm(score->faults.found, score->outline, rendering);
  out.matching = matched(out.found, rendering);
  return out;
}

double mistakes(const FaultRendering& rendering, const Judged& judged) {
  double sum = 0.0;
  for (std::size_t m = 0; m < rendering.marks.size(); ++m) {
    const heldout::TrueMark& mark = rendering.marks[m];
    if (counts(mark) && mark.cnr >= kLeastCnr && looked_for(mark.id) && !judged.matching.seen[m])
      sum += is_speck(mark.id) ? 0.1 : 1.0;
  }
  for (std::size_t f = 0; f < judged.found.size(); ++f)
    if (judged.matching.verdicts[f] == Verdict::wrong) sum += is_speck(judged.found[f].id) ? 0.2 : 1.0;
  return sum;
}

std::string in_a_line(const FaultRendering& rendering, const Judged& judged) {
  std::string line;
  for (std::size_t m = 0; m < rendering.marks.size(); ++m) {
    const heldout::TrueMark& mark = rendering.marks[m];
    if (!is_speck(mark.id) && counts(mark))
      line += fmt::format(" {} ({:.1f}) {};", mark.id, mark.cnr, judged.matching.seen[m] ? "seen" : "missed");
  }
  for (std::size_t f = 0; f < judged.found.size(); ++f)
    if (judged.matching.verdicts[f] == Verdict::wrong)
      line += fmt::format(" false {} at {:.0f},{:.0f};", judged.found[f].id, judged.found[f].centre_mm.x,
                          judged.found[f].centre_mm.y);
  return line;
}

void print_bound(bool& all, const char* what, double value, double least, double most) {
  const bool held = value >= least && value <= most;
  all = all && held;
  std::cout << fmt::format("  {:<58}{:>8.3f}  [{}, {}]  {}\n", what, value, least, most,
                           held ? "held" : "NOT HELD");
}

// A small sample scatters; the claims are made with the large one. What the sample of seed 41 reached when it
// was drawn (3.5 false, half the corners, 0.08 of the specks) with a margin: to be tightened as the detectors
// improve.
constexpr double kMostFalse = 5.0;
constexpr double kLeastCorners = 0.4;
constexpr double kLeastSpecks = 0.05;

bool passes(const FaultsAccuracy& accuracy) {
  bool all = true;
  std::cout << "\nBounds of the small sample of faults\n";
  print_bound(all, "plates not found", accuracy.plates_not_found(), 0.0, 0.0);
  print_bound(all, "false faults on a clean plate", accuracy.false_on_a_clean_plate(), 0.0, kMostFalse);
  print_bound(all, "recall of uncovered corners", accuracy.recall({"uncovered_corner"}), kLeastCorners, 1.0);
  print_bound(all, "recall of specks", accuracy.recall({"pinhole", "dust_speck"}), kLeastSpecks, 1.0);
  return all;
}

}  // namespace

bool run_faults(const FaultsRun& wanted, const std::filesystem::path& scratch) {
  const auto photographs = heldout::installed_photographs();
  std::cout << fmt::format("held-out plates with faults: seed {}, {} plates, {} photographs for scenes\n",
                           wanted.seed, wanted.renderings, photographs.size());
  const heldout::FaultPlan plan{wanted.seed, wanted.only};
  FaultsAccuracy with_true;
  FaultsAccuracy with_found;
  std::vector<Worst> worst;
  for (int i = 0; i < wanted.renderings; ++i) {
    const FaultRendering rendering = heldout::fault_rendering(plan, i, photographs);
    if (!wanted.show_folder.empty())
      show_faults(rendering, {}, {}, std::filesystem::path(wanted.show_folder), fmt::format("{:03}", i));
    const auto file = heldout::write_picture(rendering.file, scratch, "faults");
    if (const auto given = judged(rendering, file, true)) {
      with_true.add(rendering, given->found, given->matching);
      const std::string line = in_a_line(rendering, *given);
      worst.push_back({i, mistakes(rendering, *given), line});
      if (wanted.list) std::cout << rendering.story << ':' << line << std::endl;
    } else {
      with_true.add_not_found();
    }
    if (wanted.found_corners) {
      if (const auto own = judged(rendering, file, false))
        with_found.add(rendering, own->found, own->matching);
      else
        with_found.add_not_found();
    }
  }
  with_true.print(std::cout, "FAULTS with the true corners");
  if (wanted.found_corners) with_found.print(std::cout, "FAULTS with the found corners");
  if (!wanted.plots_folder.empty()) with_true.write_plots(wanted.plots_folder);
  if (!wanted.worst_folder.empty()) {
    std::stable_sort(worst.begin(), worst.end(),
                     [](const Worst& a, const Worst& b) { return a.error > b.error; });
    worst.resize(std::min(worst.size(), static_cast<std::size_t>(wanted.worst)));
    int rank = 0;
    for (const Worst& one : worst) {
      const FaultRendering rendering = heldout::fault_rendering(plan, one.index, photographs);
      const auto given = judged(rendering, heldout::write_picture(rendering.file, scratch, "faults"), true);
      const std::string name = fmt::format("faults-{:02}", ++rank);
      if (given) show_faults(rendering, given->found, given->matching, wanted.worst_folder, name);
      std::cout << fmt::format("{}: {}:{}\n", name, rendering.story, one.note);
    }
  }
  return !wanted.check || passes(with_true);
}

}  // namespace platewise::accuracy
