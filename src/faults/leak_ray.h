#pragma once

#include "rim_plumes.h"

namespace platewise {

// The hard side of a plume of stray light, from the film's edge into the picture. Units.
struct LeakRay {
  cv::Point2d root;
  cv::Point2d direction;    // inward, unit length
  double reach = 0.0;       // as far as the lit side is seen to be lighter
  double difference = 0.0;  // silver across it, inside the picture
};

// The hard side is straight. Which way it runs is read off the rim, where there is no picture; the picture
// may refine it by 8 degrees at most and says how far the plume reaches, between 0.3 and 0.6 of the short
// side.
[[nodiscard]] LeakRay leak_ray(const Evidence& evidence, const RimPlume& plume);

}  // namespace platewise
