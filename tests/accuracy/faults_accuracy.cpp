#include "accuracy/faults_accuracy.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>

#include "accuracy/table.h"
#include "platewise/faults/detector.h"

namespace platewise::accuracy {
namespace {

// F1 that the project is held to, at contrast-to-noise of 3 and more; empty where none was set.
const std::map<std::string, double> kTargets{
    {"uncovered_corner", 0.98}, {"comet", 0.90},       {"pour_ridges", 0.88}, {"pinhole", 0.92},
    {"dust_speck", 0.92},       {"dip_streaks", 0.85}, {"stall_line", 0.85},  {"light_leak", 0.85},
    {"oyster_stain", 0.85},     {"frilling", 0.92},    {"tear_hole", 0.92},   {"scratch", 0.88}};

std::string of(const std::array<int, 2>& seen) {
  return seen[1] > 0 ? fmt::format("{:>4} of {:<4}", seen[0], seen[1]) : fmt::format("{:>12}", "-");
}

double ratio(int part, int whole) {
  return whole > 0 ? static_cast<double>(part) / whole : 1.0;
}

}  // namespace

bool looked_for(const std::string& id) {
  for (const Detector& detector : detectors())
    if (std::find(detector.ids.begin(), detector.ids.end(), id) != detector.ids.end()) return true;
  return false;
}

std::array<int, 2> FaultsAccuracy::Row::seen_of(double low, double high) const {
  std::array<int, 2> count{};
  for (const Sight& one : truths) {
    if (one.cnr < low || one.cnr >= high) continue;
    ++count[1];
    if (one.seen) ++count[0];
  }
  return count;
}

void FaultsAccuracy::add(const heldout::FaultRendering& rendering, const std::vector<FoundMark>& found,
                         const Matching& matching) {
  ++plates_;
  Place& place = places_[rendering.subject];
  ++place.plates;
  int specks = 0;
  for (std::size_t m = 0; m < rendering.marks.size(); ++m) {
    const heldout::TrueMark& mark = rendering.marks[m];
    if (!counts(mark)) continue;
    Row& row = rows_[mark.id];
    row.truths.push_back({mark.cnr, matching.seen[m]});
    if (mark.cnr < kLeastCnr) continue;
    if (matching.named_right[m]) ++row.named_right;
    if (is_speck(mark.id)) ++specks;
    if (!looked_for(mark.id)) continue;
    ++place.truths;
    if (matching.seen[m]) ++place.seen;
  }
  int specks_found = 0;
  int wrong = 0;
  for (std::size_t f = 0; f < found.size(); ++f) {
    if (is_speck(found[f].id)) ++specks_found;
    if (matching.verdicts[f] == Verdict::hit) ++rows_[found[f].id].hits;
    if (matching.verdicts[f] != Verdict::wrong) continue;
    ++rows_[found[f].id].wrong;
    ++wrong;
    if (rendering.clean) ++wrong_on_clean_[found[f].id];
    if (const int on = matching.lies_on[f]; on >= 0)
      ++confusions_[found[f].id + " on " + rendering.marks[static_cast<std::size_t>(on)].id];
  }
  place.wrong += wrong;
  if (rendering.clean) {
    ++place.clean;
    place.wrong_on_clean += wrong;
    ++(rendering.line_rich ? line_rich_ : clean_);
    (rendering.line_rich ? wrong_line_rich_ : wrong_clean_) += wrong;
  }
  constexpr int kManySpecks = 10;
  if (specks >= kManySpecks) speck_count_ratio_.push_back(static_cast<double>(specks_found) / specks);
}

double FaultsAccuracy::recall(const std::vector<std::string>& ids) const {
  int seen = 0;
  int all = 0;
  for (const std::string& id : ids) {
    const auto row = rows_.find(id);
    if (row == rows_.end()) continue;
    const std::array<int, 2> count = row->second.seen_of(kLeastCnr, kCnrBands.back());
    seen += count[0];
    all += count[1];
  }
  return ratio(seen, all);
}

double FaultsAccuracy::false_on_a_clean_plate() const {
  return clean_ > 0 ? static_cast<double>(wrong_clean_) / clean_ : 0.0;
}

void FaultsAccuracy::print_faults(std::ostream& out) const {
  out << fmt::format("  {:<18}{:>6}{:>7}{:>11}{:>8}{:>7}{:>8}   recall by contrast: {:<13}{:<13}{:<13}{}\n",
                     "fault", "true", "false", "precision", "recall", "F1", "target", "1-3", "3-5", "5-10",
                     "10+");
  for (const auto& [id, row] : rows_) {
    const std::array<int, 2> seen = row.seen_of(kLeastCnr, kCnrBands.back());
    std::string head = fmt::format("  {:<18}{:>6}", id, seen[1]);
    if (!looked_for(id)) {
      out << head << "   not looked for\n";
      continue;
    }
    const double precision = ratio(row.hits, row.hits + row.wrong);
    const double recall = ratio(seen[0], seen[1]);
    const double f1 = precision + recall > 0.0 ? 2.0 * precision * recall / (precision + recall) : 0.0;
    const auto target = kTargets.find(id);
    out << head
        << fmt::format("{:>7}{:>11.3f}{:>8.3f}{:>7.3f}{:>8}                      ", row.wrong, precision,
                       recall, f1, target != kTargets.end() ? fmt::format("{:.2f}", target->second) : "-");
    for (std::size_t band = 0; band + 1 < kCnrBands.size(); ++band)
      out << ' ' << of(row.seen_of(kCnrBands[band], kCnrBands[band + 1]));
    if (is_speck(id)) out << fmt::format("   named so: {:.2f}", ratio(row.named_right, seen[0]));
    out << '\n';
  }
}

void FaultsAccuracy::print_places(std::ostream& out) const {
  out << fmt::format("\n  {:<14}{:>7}{:>20}{:>16}{:>24}\n", "scene", "plates", "recall, looked for",
                     "false a plate", "false a clean plate");
  for (const auto& [subject, place] : places_)
    out << fmt::format(
        "  {:<14}{:>7}{:>20}{:>16.2f}{:>24}\n", subject, place.plates,
        place.truths > 0 ? fmt::format("{:.3f} of {}", ratio(place.seen, place.truths), place.truths)
                         : std::string("-"),
        static_cast<double>(place.wrong) / place.plates,
        place.clean > 0 ? fmt::format("{:.2f} of {}", static_cast<double>(place.wrong_on_clean) / place.clean,
                                      place.clean)
                        : std::string("-"));
}

void FaultsAccuracy::print_wrong(std::ostream& out) const {
  out << fmt::format("\n  false faults on a clean plate (target 0.2): {:.2f} over {} plates\n",
                     false_on_a_clean_plate(), clean_);
  out << fmt::format("  on a clean plate full of lines (target 0.5): {:.2f} over {} plates\n",
                     line_rich_ > 0 ? static_cast<double>(wrong_line_rich_) / line_rich_ : 0.0, line_rich_);
  for (const auto& [id, count] : wrong_on_clean_)
    out << fmt::format("    {:<18}{:>5} on clean plates of both sorts\n", id, count);
  for (const auto& [what, count] : confusions_)
    out << fmt::format("    wrong name: {:<40}{:>5}\n", what, count);
  if (!speck_count_ratio_.empty())
    out << fmt::format(
        "  plates with 10 specks and more: found / true, median {:.2f}, from {:.2f} to {:.2f} over {} "
        "plates\n",
        quantile(speck_count_ratio_, 0.5), quantile(speck_count_ratio_, 0.1),
        quantile(speck_count_ratio_, 0.9), speck_count_ratio_.size());
}

void FaultsAccuracy::print(std::ostream& out, const std::string& title) const {
  out << '\n' << title << fmt::format(": {} plates", plates_);
  if (plates_not_found_ > 0) out << fmt::format(", {} more where no plate was found", plates_not_found_);
  out << "; contrast-to-noise 3 and more, 3 working pixels and more\n";
  print_faults(out);
  print_places(out);
  print_wrong(out);
}

}  // namespace platewise::accuracy
