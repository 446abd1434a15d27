#pragma once

#include <vector>

#include "sides.h"

namespace platewise {

// How well a line serves as a side between two that cross it.
struct SideFit {
  double log_likelihood = 0.0;
  double support = 0.0;
  double going_on = 0.0;                // log likelihood lost by what continues beyond the corners
  double log_likelihood_if_seen = 0.0;  // what it would be were every place seen
};

using Crossings = std::vector<std::vector<Point>>;  // of each level line with each steep one

[[nodiscard]] Crossings crossings(const std::vector<Side>& level, const std::vector<Side>& steep);

// How well each line serves as a side between each two that cross it.
class SideFits {
 public:
  SideFits(std::size_t level, std::size_t steep)
      : level_(level),
        steep_(steep),
        level_fits_{std::vector<SideFit>(level * steep * steep), std::vector<SideFit>(level * steep * steep)},
        steep_fits_{std::vector<SideFit>(steep * level * level),
                    std::vector<SideFit>(steep * level * level)} {}
  SideFit& of_level(bool after, std::size_t line, std::size_t from, std::size_t to) {
    return level_fits_[after ? 1 : 0][(line * steep_ + from) * steep_ + to];
  }
  SideFit& of_steep(bool after, std::size_t line, std::size_t from, std::size_t to) {
    return steep_fits_[after ? 1 : 0][(line * level_ + from) * level_ + to];
  }
  [[nodiscard]] const SideFit& top(std::size_t line, std::size_t left, std::size_t right) const {
    return level_fits_[0][(line * steep_ + left) * steep_ + right];
  }
  [[nodiscard]] const SideFit& bottom(std::size_t line, std::size_t left, std::size_t right) const {
    return level_fits_[1][(line * steep_ + left) * steep_ + right];
  }
  [[nodiscard]] const SideFit& left(std::size_t line, std::size_t top, std::size_t bottom) const {
    return steep_fits_[0][(line * level_ + top) * level_ + bottom];
  }
  [[nodiscard]] const SideFit& right(std::size_t line, std::size_t top, std::size_t bottom) const {
    return steep_fits_[1][(line * level_ + top) * level_ + bottom];
  }

 private:
  std::size_t level_;
  std::size_t steep_;
  std::vector<SideFit> level_fits_[2];  // ground above, ground below
  std::vector<SideFit> steep_fits_[2];  // ground to the left, to the right
};

[[nodiscard]] SideFits side_fits(const std::vector<Side>& level, const std::vector<Side>& steep,
                                 const Crossings& crossing, const EdgeWeights& level_weights,
                                 const EdgeWeights& steep_weights);

}  // namespace platewise
