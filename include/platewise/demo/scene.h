#pragma once

#include <cstdint>

#include "platewise/core/names.h"
#include "platewise/raster/image.h"

namespace platewise {

// What stood before the camera, as the lens drew it.
enum class SceneKind {
  portrait_dark,
  portrait_light,
  landscape,
  still_life,
  facade,
  white_sky,
  dark_interior
};
inline constexpr int kSceneKindCount = 7;
template <>
struct Names<SceneKind> {
  static constexpr std::string_view all[] = {"portrait_dark", "portrait_light", "landscape",    "still_life",
                                             "facade",        "white_sky",      "dark_interior"};
};

// log10 luminance as a blue-sensitive plate sees it (CV_32FC1), relative: about 0 at its lights. Drawn from
// the seed alone, textured at every scale; the same seed at another size is the same picture up to resampling
// of its grain of detail.
[[nodiscard]] cv::Mat draw_scene(SceneKind kind, std::uint64_t seed, int width_px, int height_px);

// A scene from a photograph: its luminance, cropped to the wanted shape and turned over from the seed, with
// the deepest shadows lifted by 0.3% of the light so that its range is what a lens gives (about 2.5 decades
// at most).
[[nodiscard]] cv::Mat scene_from_photograph(const LinearImage& photograph, std::uint64_t seed, int width_px,
                                            int height_px);

}  // namespace platewise
