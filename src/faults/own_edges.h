#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "dark_places.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// A place and a little round it, in a window of the plate.
struct Surroundings {
  cv::Rect window;
  cv::Mat inside;  // CV_8UC1

  [[nodiscard]] bool contains(cv::Point at) const;
};

[[nodiscard]] Surroundings surroundings(const DarkPlace& place, cv::Size size, double px_per_unit);

// What the picture's own edges say of the lens, a place and its like left out: else the borders of a large
// hole would be the sharpest that the lens seems to draw.
class OwnEdges {
 public:
  // `of_picture` comes sharpest first; `its_like` (CV_8UC1, all of the plate) may be empty.
  OwnEdges(const std::vector<PictureEdge>& of_picture, const std::vector<PictureEdge>& of_lighter,
           const Surroundings& place, const cv::Mat& its_like);

  // As in picture_softness.h; empty when too few are left.
  [[nodiscard]] std::optional<double> sharpest_px() const;
  // Share of the borders of the picture's lighter places that are as hard, no less than the sharpest share.
  [[nodiscard]] double as_hard(double softness_px) const;

 private:
  std::vector<PictureEdge> of_picture_;
  std::vector<float> of_lighter_;
};

}  // namespace platewise
