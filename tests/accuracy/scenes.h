#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <vector>

#include "accuracy/random.h"

namespace platewise::heldout {

// What stood before the camera, as a blue-sensitive plate sees it: log10 exposure relative to the scene's
// 98th percentile. CV_32FC1. From a photograph where there are any (three in five), else drawn.
[[nodiscard]] cv::Mat scene_log_exposure(Random& random, cv::Size size,
                                         const std::vector<std::filesystem::path>& photographs);

// The scenes of the fault bench; the last five are full of lines, points and letters that are no faults.
enum class Subject {
  portrait,
  landscape,  // with bare branches
  still_life,
  facade,
  photograph,
  railings,
  lace,
  text,
  stars,
  hair
};
inline constexpr const char* kSubjectNames[] = {"portrait", "landscape", "still life", "facade", "photograph",
                                                "railings", "lace",      "text",       "stars",  "hair"};
inline constexpr int kOrdinarySubjects = 5;
inline constexpr int kSubjects = 10;

// The same of a chosen subject; a drawn portrait where a photograph is wanted and none is installed.
[[nodiscard]] cv::Mat scene_log_exposure(Random& random, cv::Size size, Subject subject,
                                         const std::vector<std::filesystem::path>& photographs);

// The drawn scenes in linear light, for looking at.
enum class DrawnScene { portrait, landscape, house, bottles, lace };
inline constexpr int kDrawnScenes = 5;
[[nodiscard]] cv::Mat drawn_scene(Random& random, cv::Size size, DrawnScene which);

}  // namespace platewise::heldout
