#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "platewise/pipeline/plate_score.h"

namespace platewise {

// More faults of one kind than this are shown as one group: nobody reads a hundred numbers on a plate.
inline constexpr std::size_t kMostShownSingly = 12;

// The faults of one kind on a plate. A fault's number is its place in the JSON, counted from 1.
struct FaultGroup {
  std::string id;
  std::vector<std::size_t> members;  // places in score.faults.found, the worst first
  std::optional<double> per_cm2;     // of the film; empty without a scale in millimetres
  double area_share = 0.0;           // of the plate

  [[nodiscard]] bool shown_as_one() const { return members.size() > kMostShownSingly; }
};

// Every fault in exactly one group; the group with the worst fault first.
[[nodiscard]] std::vector<FaultGroup> fault_groups(const PlateScore& score);

// Each kind of fault once, in words, with how many there are of it: "2 × comet, scratch".
[[nodiscard]] std::string kinds_text(const std::vector<std::string>& ids);

}  // namespace platewise
