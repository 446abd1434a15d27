#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "side_line.h"

namespace platewise {

// Steps from rim to picture along a side, and the straight lines that most of them lie on.

constexpr double kSmallestSideStep = 0.02;  // D; below this 8 bits cannot tell
constexpr double kSideStepSigmas = 4.0;
constexpr double kLargestTilt = 0.035;  // rad; a holder's opening lies within two degrees of the plate

struct Profiles {
  cv::Mat tone;            // CV_32FC1, one row per place
  cv::Mat plate;           // CV_8UC1
  cv::Mat sums;            // CV_64FC1, cumulative along the depth
  cv::Mat step;            // CV_32FC1, at depth d: mean of [d, d+w) minus mean of [d-w, d)
  cv::Mat least;           // CV_32FC1, the least step that noise cannot explain, given the darker side's tone
  cv::Mat votes;           // CV_8UC1, 1 within tolerance of a place's significant, locally steepest step
  double length_px = 0.0;  // working pixels along the side
  int band_px = 3;
  int edge_px = 3;
  double blur_px = 6.0;

  [[nodiscard]] int places() const { return tone.rows; }
  [[nodiscard]] int depths() const { return tone.cols; }
  [[nodiscard]] double mean(int place, int from, int to) const {
    const auto* sum = sums.ptr<double>(place);
    return (sum[to] - sum[from]) / (to - from);
  }
};

[[nodiscard]] Profiles profiles_of(const SideView& view, const WorkingTone& working);

// A straight line, by its depths at both ends of the side, and the share of the places that vote for it.
struct Trial {
  double first = 0.0;
  double last = 0.0;
  double votes = 0.0;
};

// Corners are left out at either end of the side.
[[nodiscard]] int first_place(const Profiles& profiles);

[[nodiscard]] double depth_at(const Trial& trial, int place, int places);

// Straight lines with the most votes, each borne out by steps of its own.
[[nodiscard]] std::vector<Trial> best_trials(const Profiles& profiles);

}  // namespace platewise
