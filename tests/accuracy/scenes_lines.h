#pragma once

#include <opencv2/core.hpp>

#include "accuracy/random.h"

namespace platewise::heldout {

// Scenes full of lines, points and letters, in linear light: what a detector of faults must leave alone.
[[nodiscard]] cv::Mat railings(Random& random, cv::Size size);
[[nodiscard]] cv::Mat lettering(Random& random, cv::Size size);
[[nodiscard]] cv::Mat stars(Random& random, cv::Size size);
[[nodiscard]] cv::Mat hair_and_grass(Random& random, cv::Size size);

// Bare trees over what is there.
void draw_branches(Random& random, cv::Mat& canvas);

}  // namespace platewise::heldout
