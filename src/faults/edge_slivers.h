#pragma once

#include <opencv2/core.hpp>
#include <utility>
#include <vector>

#include "dark_places.h"

namespace platewise {

// Slivers of bare support along the plate's edge. Their border is the film's and as hard as any other of bare
// support, so it says nothing of how sharp the lens draws. Kept by tone, for many places of a plate share
// one.
class EdgeSlivers {
 public:
  explicit EdgeSlivers(const GapGround& ground) : ground_(&ground) {}

  // What has no more silver and lies where the film's edge wanders, with its borders; CV_8UC1, of the plate's
  // size.
  [[nodiscard]] const cv::Mat& as_empty_as(double silver);

 private:
  const GapGround* ground_;
  std::vector<std::pair<double, cv::Mat>> known_;
};

}  // namespace platewise
