#pragma once

#include <limits>
#include <vector>

#include "step_row.h"

namespace platewise {

inline constexpr double kAlike = 0.012;   // log light: two tones that differ by less are alike
inline constexpr double kClipped = 0.97;  // linear light near full scale

// What is seen at one tooth of the comb.
struct Tooth {
  double mean = std::numeric_limits<double>::quiet_NaN();  // log light
  bool there = false;
  bool like_beside = false;  // no different from what lies beside the row: background
  bool beside_known = false;
};

// The row's patches, gone on beyond those told apart at either end: tooth 0 is the row's first patch.
class Comb {
 public:
  explicit Comb(const StepRow& row);

  [[nodiscard]] int patches() const { return row_.patches(); }
  [[nodiscard]] Tooth tooth(int k) const;
  [[nodiscard]] std::vector<Tooth> teeth(int first, int count) const;

 private:
  [[nodiscard]] std::vector<double> line(double from, double to) const;

  const StepRow& row_;
  std::vector<double> profile_;
  std::vector<double> above_;
  std::vector<double> below_;
};

}  // namespace platewise
