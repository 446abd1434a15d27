#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

struct CometTail {
  cv::Point2d direction;  // from head to tail, unit length, y down
  double length_px = 0.0;
  double contrast = 0.0;  // signed, silver
  double log10_nfa = 0.0;
};

// Looks for a tapering tail behind a speck. What chance and picture content give is learnt from the same test
// at places all over this plate where no speck was proposed.
class TailBackground {
 public:
  explicit TailBackground(const Evidence& evidence);

  // The most meaningful tail that starts at a head; empty when none is beyond chance.
  [[nodiscard]] std::optional<CometTail> tail_of(cv::Point head, double head_radius_px) const;

 private:
  struct Scale {
    double length_px = 0.0;
    double width_px = 0.0;
    double log_a = 0.0;  // Weibull tail of |contrast|, P(|contrast| >= r) = exp(-(r / a)^c)
    double c = 1.0;
  };

  void add_scale(Scale scale);
  [[nodiscard]] std::optional<double> contrast(cv::Point2d start, cv::Point2d direction, double bend_per_px,
                                               double length_px, double width_px) const;
  [[nodiscard]] std::optional<CometTail> judged(cv::Point head, double head_radius_px, const Scale& scale,
                                                cv::Point2d direction, double bend_per_px) const;

  const Evidence* evidence_;  // outlives this
  std::vector<Scale> scales_;
};

}  // namespace platewise
