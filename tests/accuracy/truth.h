#pragma once

#include "accuracy/compose.h"
#include "accuracy/rendering.h"

namespace platewise::heldout {

// Fills the truth's geometry: corners, sides in the frame.
void measure_sides(const PlateDrawing& plate, const Camera& camera, cv::Size picture, Truth& truth);

// Border against surround, in noise sigmas of the recorded pixels, side by side.
void measure_contrast(const PlateDrawing& plate, const Camera& camera, const cv::Mat& pixels, Truth& truth);

// Tones, coverage and regions, from the drawing without faults, where the scan shows it and no glare lies.
// `glare` is CV_8UC1 of the picture's size, or empty.
void measure_plate(const PlateDrawing& plate, const Camera& camera, const Composition& composition,
                   const cv::Mat& glare, Truth& truth);

}  // namespace platewise::heldout
