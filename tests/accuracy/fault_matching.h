#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "accuracy/faults_rendering.h"
#include "platewise/faults/faults.h"
#include "platewise/locate/plate_outline.h"

namespace platewise::accuracy {

// When a finding is a hit. Everything is compared in the plate's true millimetres.
//   Specks (pinhole, dust_speck): one to one, nearest first, when the centres lie within 0.5 mm or half the
//   true length. The two names count as one here, because below 0.3 mm nothing on a scan tells a bare spot
//   from dust on the glass; the share of right names is printed apart. All others: a fault is found when
//   findings of its name cover at least a third of it, counting those that lie at least half on it, or when
//   one overlaps it by 0.3 of their union. Several such findings on one fault are one hit and no false fault.
//   Lines (comet, scratch, stall and halt lines) are widened by 0.75 mm on each side for this, all others by
//   0.25 mm, so that overlap measures agreement along the length. A line whose finding gives an angle must
//   agree within 20 degrees. Counted neither way: findings on marks that are too small (under 3 working
//   pixels), too faint (contrast-to-noise under 1) or hidden, on support that no fault made bare, and on
//   marks between 1 and 3, which have their own row.
inline constexpr double kLeastCnr = 3.0;
inline constexpr double kFaintestCnr = 1.0;
inline constexpr double kLeastSizeMm = 3.0 / 12.0;

struct FoundMark {
  std::string id;
  Polygon outline_mm;
  Point centre_mm;
  std::optional<double> angle_deg;
};

// The findings in the true plate's millimetres.
[[nodiscard]] std::vector<FoundMark> in_true_mm(const std::vector<Fault>& found, const PlateOutline& outline,
                                                const heldout::FaultRendering& rendering);

enum class Verdict { hit, neither, wrong };

struct Matching {
  std::vector<bool> seen;         // of each true mark
  std::vector<bool> named_right;  // the same, by the very name
  std::vector<Verdict> verdicts;  // of each finding
  std::vector<int> lies_on;  // index of the true mark of another name that a wrong finding lies on; -1 none
};
[[nodiscard]] Matching matched(const std::vector<FoundMark>& found, const heldout::FaultRendering& rendering);

[[nodiscard]] bool counts(const heldout::TrueMark& mark);  // large enough, visible, not hidden
[[nodiscard]] bool is_speck(const std::string& id);

}  // namespace platewise::accuracy
