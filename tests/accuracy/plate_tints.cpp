// Colours of a plate that are no fault, and a scanner whose channels do not quite lie on each other.

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "accuracy/lab.h"
#include "accuracy/plate_colours.h"
#include "accuracy/plate_colours_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout {

void tint_by_hand(Random& random, const Canvas& canvas, cv::Mat& light) {
  const cv::Mat level = luminance_of(light);
  const float upper = quantile_of_picture(canvas, level, 0.6);
  for (int cheek = 0; cheek < 2; ++cheek) {
    Point at{};
    for (int trial = 0; trial < 60; ++trial) {
      at = {canvas.width_mm * random.uniform(0.3, 0.7), canvas.height_mm * random.uniform(0.2, 0.7)};
      const auto x = static_cast<int>((at.x + canvas.border_mm) * canvas.px_per_mm);
      const auto y = static_cast<int>((at.y + canvas.border_mm) * canvas.px_per_mm);
      if (level.at<float>(y, x) > upper) break;
    }
    const double radius = random.uniform(1.0, 3.5);
    shift_lab(light, field(canvas, [&](Point p) { return bell(distance(p, at), radius); }),
              lab_step(0.0, random.uniform(-15.0, 40.0), random.uniform(5.0, 22.0)));
  }
  const int dots = random.integer(2, 10);
  const Point row = place_mm(random, canvas, 15.0);
  for (int i = 0; i < dots; ++i) {
    const Point at = row + Point{random.normal(0.0, 2.0), 2.5 * i};
    const double radius = random.uniform(0.25, 0.9);
    shift_lab(light,
              field(canvas, [&](Point p) { return ramp(1.2 * radius, 0.8 * radius, distance(p, at)); }),
              lab_step(3.0, random.uniform(72.0, 92.0), random.uniform(15.0, 40.0)));
  }
  if (!random.chance(0.4)) return;
  // A cloth washed with colour: as far as a tone of the picture goes.
  const Point centre = place_mm(random, canvas, 15.0);
  const double reach = random.uniform(6.0, 14.0);
  const float low = quantile_of_picture(canvas, level, 0.35);
  const float high = quantile_of_picture(canvas, level, 0.75);
  cv::Mat cloth =
      field(canvas, [&](Point p) { return ramp(1.05 * reach, 0.95 * reach, distance(p, centre)); });
  cloth.setTo(0.0, (level < low) | (level > high));
  cv::GaussianBlur(cloth, cloth, {}, 0.15 * canvas.px_per_mm);
  shift_lab(light, cloth, lab_step(-2.0, random.uniform(0.0, 360.0), random.uniform(5.0, 18.0)));
}

cv::Mat off_register(Random& random, const cv::Mat& light) {
  std::vector<cv::Mat> channels;
  cv::split(light, channels);
  for (const int c : {0, 2}) {
    const double grow = 1.0 + random.normal(0.0, 0.0002);
    const cv::Matx23d move(grow, 0.0, random.normal(0.0, 0.3) - (grow - 1.0) * light.cols / 2.0,  //
                           0.0, grow, random.normal(0.0, 0.3) - (grow - 1.0) * light.rows / 2.0);
    cv::Mat moved;
    cv::warpAffine(channels[static_cast<std::size_t>(c)], moved, move, light.size(), cv::INTER_LINEAR,
                   cv::BORDER_REPLICATE);
    const double along = random.normal(0.0, 0.015);
    for (int x = 0; x < moved.cols; ++x) moved.col(x) *= 1.0 + along * (2.0 * x / moved.cols - 1.0);
    channels[static_cast<std::size_t>(c)] = moved;
  }
  cv::Mat out;
  cv::merge(channels, out);
  return out;
}

}  // namespace platewise::heldout
