#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "step_run.h"

namespace platewise {

// Mean of each column over rows `from` up to `to`; not finite where any value is not.
[[nodiscard]] std::vector<double> mean_of_rows(const cv::Mat& picture, int from, int to);

// The run of patches that most of the picture's horizontal bands share, and the rows where they do.
struct Consensus {
  double score = 0.0;
  StepRun run;
  int top = 0;
  int bottom = 0;
};
[[nodiscard]] Consensus run_shared_by_bands(const cv::Mat& log_light, int count);

}  // namespace platewise
