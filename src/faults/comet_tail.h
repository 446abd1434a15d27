#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/faults/evidence.h"
#include "round_edge.h"

namespace platewise {

// The line that leaves a round spot most plainly, to one side and fading.
struct CometTail {
  double z = 0.0;          // its tapered sum, less the other directions' median, in their robust sigma
  double other = 0.0;      // the same of the best line elsewhere round the spot
  double opposite = 0.0;   // and of the best that sets out to the other side
  int sign = 1;            // +1 more silver than beside it, -1 less
  double turn = 0.0;       // radians, where it sets out, y down
  double bend = 0.0;       // per pixel: v = bend u^2
  double length_px = 0.0;  // from the middle of the spot
  double near = 0.0;       // contrast against the nearer-toned flank, silver: first third
  double middle = 0.0;     // second third
  double far = 0.0;        // last third
  double beyond = 0.0;     // as far again as a third beyond the end
  double fading = 0.0;     // over 1: it fades rather than ends
  double agreeing = 0.0;   // share of the steps that stand out from both flanks
};

// Contrasts of every place round a spot against its two neighbours across the ray that leads there. `smooth`
// is the picture smoothed by `width_px`, about half of the tail's width.
class CometFan {
 public:
  CometFan(const RoundEdge& spot, const Evidence& evidence, const cv::Mat& smooth, double width_px);

  // The best tail of more silver (sign 1) or less (-1); z 0 when there is none.
  [[nodiscard]] CometTail tail(int sign) const;

 private:
  struct Ray {
    double z = 0.0;
    double turn = 0.0;
    double bend = 0.0;
    int steps = 0;
  };
  struct Step {
    double one = 0.0;  // NaN where not known
    double other = 0.0;
  };
  // Of the tapered sums of one length over the directions that are free of a tail.
  struct Chance {
    double median = 0.0;
    double sigma = 0.0;  // 0: not known
  };
  using Sums = std::vector<double>;
  // The tapered sums of a ray against either flank, of more silver.
  using FlankSums = std::vector<Step>;

  void fill(cv::Point2d middle, const Evidence& evidence, const cv::Mat& smooth);
  [[nodiscard]] Step at(int i, double turn, double bend) const;
  [[nodiscard]] FlankSums flank_sums(double turn, double bend) const;
  [[nodiscard]] Sums sums(int sign, const FlankSums& flanks) const;
  [[nodiscard]] Sums sums(int sign, double turn, double bend) const;
  [[nodiscard]] std::vector<Chance> chance(const std::vector<Sums>& straight, double turn, double off) const;
  void try_ray(const Sums& sums, const std::vector<Chance>& chance, double turn, double bend,
               Ray& best) const;
  [[nodiscard]] Ray best_ray(int sign, const std::vector<Chance>& chance, const Ray* near) const;
  [[nodiscard]] Ray as_long_as_it_is(int sign, const Ray& ray) const;
  [[nodiscard]] double fading(int sign, const Ray& ray) const;
  [[nodiscard]] double mean(int sign, const Ray& ray, int from, int to) const;
  void measure(CometTail& tail, const Ray& ray) const;

  double px_per_unit_ = 1.0;
  double step_px_ = 1.0;
  double flank_px_ = 1.0;
  double first_px_ = 1.0;
  float most_ = 0.0F;   // that one step may count
  double noise_ = 0.0;  // of one step's contrast, by grain
  int steps_ = 0;
  std::vector<int> lengths_;  // steps
  cv::Mat one_;               // rows: steps, columns: turns; CV_32FC1, NaN where not known
  cv::Mat other_;
  std::vector<FlankSums> coarse_;  // of all turns and bends that are tried first, for both signs
};

}  // namespace platewise
