#pragma once

#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace platewise {

// A row of patches found in a picture of log light, in a frame turned so that the row runs along +x from its
// lighter to its darker end.
struct StepRow {
  cv::Mat turned;  // CV_32FC1 log light in that frame, NaN outside the picture
  Eigen::Matrix3d source_from_turned = Eigen::Matrix3d::Identity();  // continuous pixel coordinates
  double top = 0.0;  // lateral reach of the patches in that frame
  double bottom = 0.0;
  std::vector<double> borders;  // told-apart patches: one more than patches, rising
  double pitch = 0.0;
  // Border between patch k and k+1 goes on as a smooth function of k beyond those seen.
  Eigen::Vector3d border_curve = Eigen::Vector3d::Zero();  // in k: border(k) = c0 + c1 k + c2 k^2

  [[nodiscard]] int patches() const { return static_cast<int>(borders.size()) - 1; }
  [[nodiscard]] double border(double k) const {
    return border_curve(0) + k * (border_curve(1) + k * border_curve(2));
  }
};

// Finds the clearest row of at least 4 patches; `count` bounds the pitch: that many fit into the picture.
[[nodiscard]] std::optional<StepRow> find_step_row(const cv::Mat& log_light, int count);

// Median over the row's middle height at each x of the turned frame.
[[nodiscard]] std::vector<double> middle_profile(const StepRow& row);

}  // namespace platewise
