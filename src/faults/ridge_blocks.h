#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// One square of the plate and the plainest set of even, parallel ridges in it.
struct RidgeBlock {
  bool on_film = false;      // and looked at; else nothing is told of it
  double strength = 0.0;     // power of the plainest wave over that of the waves it is held against
  double angle = 0.0;        // rad over half a turn, in which its crests run
  double pitch_units = 0.0;  // crest to crest
  double amplitude = 0.0;    // silver, middle to crest
};

// Overlapping squares on a net, row by row.
struct RidgeBlocks {
  double side_units = 0.0;
  double step_units = 0.0;
  cv::Size net;
  std::vector<RidgeBlock> blocks;

  [[nodiscard]] std::size_t place(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(net.width) + static_cast<std::size_t>(x);
  }
  [[nodiscard]] const RidgeBlock& at(int x, int y) const { return blocks[place(x, y)]; }
  [[nodiscard]] Point middle(int x, int y) const {
    return {0.5 * side_units + x * step_units, 0.5 * side_units + y * step_units};
  }
};

// Waves of `least_pitch` to `most_pitch` units by the power spectrum of each square, windowed (Hann). A wave
// is held against finer and coarser ones of its direction, as edges have them, and against other directions.
// To save time three squares in four are looked at only near one with a strength of `plain`.
[[nodiscard]] RidgeBlocks ridge_blocks(const Evidence& evidence, double least_pitch, double most_pitch,
                                       double plain);

}  // namespace platewise
