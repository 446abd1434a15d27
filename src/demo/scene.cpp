#include "platewise/demo/scene.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "scene_canvas.h"

namespace platewise {
namespace {

Canvas drawn(SceneKind kind, cv::Size size, const Dice& dice) {
  switch (kind) {
    case SceneKind::portrait_dark:
      return portrait(size, dice, true);
    case SceneKind::portrait_light:
      return portrait(size, dice, false);
    case SceneKind::landscape:
      return landscape(size, dice, false);
    case SceneKind::still_life:
      return still_life(size, dice);
    case SceneKind::facade:
      return facade(size, dice);
    case SceneKind::white_sky:
      return landscape(size, dice, true);
    case SceneKind::dark_interior:
      return dark_interior(size, dice);
  }
  return portrait(size, dice, true);
}

cv::Mat log_of(const cv::Mat& light, double least) {
  cv::Mat floored = cv::max(light, least);
  cv::Mat logs;
  cv::log(floored, logs);
  return logs / std::log(10.0);
}

}  // namespace

cv::Mat draw_scene(SceneKind kind, std::uint64_t seed, int width_px, int height_px) {
  constexpr double kLeast = 0.003;  // nothing in a lit room is darker against its linen
  const Canvas canvas = drawn(kind, {width_px, height_px}, Dice(seed));
  cv::Mat light;
  cv::GaussianBlur(canvas.light, light, {}, 0.7);
  return log_of(light, kLeast);
}

cv::Mat scene_from_photograph(const LinearImage& photograph, std::uint64_t seed, int width_px,
                              int height_px) {
  constexpr double kLift = 0.003;
  Dice dice(seed);
  const cv::Mat& luminance = photograph.luminance;
  const double wanted = static_cast<double>(width_px) / height_px;
  int w = luminance.cols;
  int h = luminance.rows;
  if (w > wanted * h)
    w = std::max(1, static_cast<int>(wanted * h));
  else
    h = std::max(1, static_cast<int>(w / wanted));
  const cv::Rect part(static_cast<int>(dice.uniform() * (luminance.cols - w)),
                      static_cast<int>(dice.uniform() * (luminance.rows - h)), w, h);
  cv::Mat scene;
  cv::resize(luminance(part), scene, {width_px, height_px}, 0, 0,
             w > width_px ? cv::INTER_AREA : cv::INTER_CUBIC);
  if (dice.chance(0.5)) cv::flip(scene, scene, 1);
  return log_of(cv::max(scene, 0.0) + kLift, kLift);
}

}  // namespace platewise
