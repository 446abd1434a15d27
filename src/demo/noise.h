#pragma once

#include "dice.h"
#include "platewise/raster/image.h"

namespace platewise {

// White Gaussian noise, sigma 1 (CV_32FC1).
[[nodiscard]] cv::Mat white_noise(cv::Size size, Dice& dice);

// Smooth noise of one size of detail: sigma about 1, blobs about cell_px wide.
[[nodiscard]] cv::Mat smooth_noise(cv::Size size, double cell_px, Dice& dice);
// The same with blobs cell_x wide and cell_y high: wood grain, brushed cloth, water.
[[nodiscard]] cv::Mat smooth_noise(cv::Size size, double cell_x_px, double cell_y_px, Dice& dice);

// Noise at all sizes from `largest_px` down to `smallest_px`, each octave `persistence` times as strong as
// the one before (0.5: clouds, 0.8: rough bark). Scaled to sigma about 1.
[[nodiscard]] cv::Mat fractal_noise(cv::Size size, double largest_px, double smallest_px, double persistence,
                                    Dice& dice);

// Gaussian blur; wide ones are done on a shrunk picture.
[[nodiscard]] cv::Mat blurred(const cv::Mat& picture, double sigma_px);

// A wandering line: value at `length` points, sigma about 1.
[[nodiscard]] std::vector<float> wandering(int length, double largest, double smallest, double persistence,
                                           Dice& dice);

}  // namespace platewise
