#pragma once

#include <functional>
#include <opencv2/core.hpp>

#include "accuracy/plate_faults.h"
#include "accuracy/random.h"

// What the colours of a held-out plate are painted with. Light is CV_32FC3 linear R,G,B, a share CV_32FC1.
namespace platewise::heldout {

// Changes every pixel where `share` is not 0; `change` gets its light and share.
void recolour(cv::Mat& light, const cv::Mat& share,
              const std::function<cv::Vec3d(const cv::Vec3d&, double)>& change);

// Adds share times a step in CIELAB.
void shift_lab(cv::Mat& light, const cv::Mat& share, const cv::Vec3d& step);

[[nodiscard]] cv::Mat luminance_of(const cv::Mat& light);

// Value below which `share` of the covered picture's pixels lie.
[[nodiscard]] float quantile_of_picture(const Canvas& canvas, const cv::Mat& values, double share);

// Where a stain lies, 0..1: a run of rinsing water, clouds that run into each other, spots that creep in from
// the cut, what the fixer missed.
[[nodiscard]] cv::Mat wash_run(Random& random, const Canvas& canvas);
[[nodiscard]] cv::Mat stain_clouds(Random& random, const Canvas& canvas);
[[nodiscard]] cv::Mat rust_spots(Random& random, const Canvas& canvas);
[[nodiscard]] cv::Mat short_of_fixer(Random& random, const Canvas& canvas);

}  // namespace platewise::heldout
