#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "comet_heads.h"

namespace platewise {

// The line of silver that leaves a head most plainly.
struct CometTail {
  double score = 0.0;      // sum over steps of the line's contrast against both flanks, in its own scatter
  double opposite = 0.0;   // the best of the same on the other side
  double other = 0.0;      // the best elsewhere round the head
  double turn = 0.0;       // radians, where it sets out, y down
  double bend = 0.0;       // per pixel: v = bend u^2
  double length_px = 0.0;  // from the middle of the head
  int steps = 0;
  double near = 0.0;      // contrast of the first third, silver
  double far = 0.0;       // of the last third
  double beyond = 0.0;    // as far again as a third beyond the end
  double agreeing = 0.0;  // share of the steps that stand out from both flanks
};

// Contrasts of every place round a head against its two neighbours across the ray that leads there.
class CometFan {
 public:
  CometFan(const CometHead& head, const Evidence& evidence, const cv::Mat& smooth, double width_px);

  // The best tail; score 0 when there is none.
  [[nodiscard]] CometTail tail() const;

 private:
  struct Ray {
    double score = 0.0;
    double turn = 0.0;
    double bend = 0.0;
    int steps = 0;
  };
  struct Step {
    double contrast = 0.0;
    double least = 0.0;  // against the nearer of the two flanks
  };
  void fill(const CometHead& head, const Evidence& evidence, const cv::Mat& smooth);
  void measure_scatter(double least);
  [[nodiscard]] Step at(int i, double turn, double bend) const;
  [[nodiscard]] Ray ray(double turn, double bend) const;
  [[nodiscard]] int without_what_chance_adds(const Ray& ray) const;
  [[nodiscard]] double mean(const Ray& ray, int from, int to) const;

  double px_per_unit_ = 1.0;
  double step_px_ = 1.0;
  double flank_px_ = 1.0;
  double first_px_ = 1.0;
  int steps_ = 0;
  cv::Mat one_;  // rows: steps, columns: turns; CV_32FC1, NaN where not known
  cv::Mat two_;
  std::vector<double> scatter_;
};

}  // namespace platewise
