#pragma once

#include "accuracy/faults_rendering.h"
#include "platewise/demo/render_plate.h"

namespace platewise::development {

// Everything that was drawn as marks, with contrast and contrast-to-noise after the working aperture. Noise
// is what `measured` (the plate's density as the program measured it, in the same frame) has more than the
// truth, near each mark.
[[nodiscard]] std::vector<heldout::TrueMark> true_marks(const PlateRendering& rendering,
                                                        const cv::Mat& measured, bool with_bare_corners);

// Support that no fault made bare and that is no bare corner; (0,0) at (-border, -border) mm.
[[nodiscard]] cv::Mat never_coated(const PlateRendering& rendering, double border_mm, bool with_bare_corners);

}  // namespace platewise::development
