#pragma once

#include <opencv2/core.hpp>

namespace platewise::heldout {

// CIELAB of linear sRGB light and back, white D65 (CIE 15; IEC 61966-2-1 for the primaries).
[[nodiscard]] cv::Vec3d lab_of(const cv::Vec3d& rgb);
[[nodiscard]] cv::Vec3d rgb_of_lab(const cv::Vec3d& lab);  // none below 0

// Lightness, hue in degrees and chroma as a step in (L*, a*, b*).
[[nodiscard]] cv::Vec3d lab_step(double lightness, double hue_deg, double chroma);

}  // namespace platewise::heldout
