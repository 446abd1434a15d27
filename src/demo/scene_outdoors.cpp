#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "noise.h"
#include "scene_canvas.h"

namespace platewise {
namespace {

void draw_branch(Canvas& canvas, Point from, double heading_deg, double length, double width, double tone,
                 double leaf_share, int depth, Dice& dice) {
  constexpr int kPieces = 4;
  Point at = from;
  double heading = heading_deg;
  for (int i = 0; i < kPieces; ++i) {
    heading += dice.uniform(-9.0, 9.0);
    const double turn = heading * std::numbers::pi / 180.0;
    const Point next = at + Point{length / kPieces * std::cos(turn), -length / kPieces * std::sin(turn)};
    draw_line(canvas, at, next, width * (1.0 - 0.12 * i), tone * dice.uniform(0.8, 1.25));
    at = next;
    if (depth > 0 && i >= 1 && dice.chance(0.75))
      draw_branch(canvas, at, heading + (dice.chance(0.5) ? 1.0 : -1.0) * dice.uniform(20.0, 65.0),
                  length * dice.uniform(0.45, 0.7), width * dice.uniform(0.35, 0.55), tone, leaf_share,
                  depth - 1, dice);
  }
  if (depth > 0)
    for (double side : {-1.0, 1.0})
      draw_branch(canvas, at, heading + side * dice.uniform(8.0, 35.0), length * dice.uniform(0.6, 0.8),
                  width * 0.6, tone, leaf_share, depth - 1, dice);
  if (depth <= 1 && dice.chance(leaf_share))
    draw_leaves(canvas, at, length * dice.uniform(0.35, 0.8), 0.0035, tone, 26, dice);
}

// Ground in perspective: detail grows toward the camera.
void draw_ground(Canvas& canvas, double horizon, double tone, Dice& dice) {
  cv::Mat ground(canvas.light.size(), CV_32FC1, cv::Scalar(tone));
  const cv::Size size = canvas.light.size();
  const cv::Mat far = fractal_noise(size, canvas.px(0.10), 1.0, 0.85, dice);
  const cv::Mat flat = smooth_noise(size, canvas.px(0.22), canvas.px(0.035), dice);
  const cv::Mat blades = smooth_noise(size, canvas.px(0.0022), canvas.px(0.016), dice);
  const cv::Mat clumps = fractal_noise(size, canvas.px(0.16), canvas.px(0.006), 0.75, dice);
  cv::Mat relief(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    const double near =
        std::clamp((y / static_cast<double>(size.height) - horizon) / (1.0 - horizon), 0.0, 1.0);
    const auto n = static_cast<float>(near);
    for (int x = 0; x < size.width; ++x)
      relief.at<float>(y, x) = 0.5F * (1.0F - n) * far.at<float>(y, x) + 0.7F * flat.at<float>(y, x) +
                               n * (0.8F * blades.at<float>(y, x) + 1.1F * clumps.at<float>(y, x));
  }
  texture(ground, relief, 0.16);
  const Polygon below{
      {-0.1, horizon}, {canvas.aspect() + 0.1, horizon}, {canvas.aspect() + 0.1, 1.1}, {-0.1, 1.1}};
  lay_over(canvas, soft_mask(canvas, below, 0.003), ground);
}

void draw_path(Canvas& canvas, double horizon, double tone, Dice& dice) {
  const double far_x = canvas.aspect() * dice.uniform(0.3, 0.7);
  const double near_x = canvas.aspect() * dice.uniform(0.1, 0.9);
  Polygon left, right;
  for (int i = 0; i <= 12; ++i) {
    const double u = i / 12.0;
    const double y = horizon + (1.02 - horizon) * u;
    const double x = far_x + (near_x - far_x) * u * u + 0.02 * std::sin(7.0 * u);
    left.push_back({x - 0.006 - 0.14 * u * u, y});
    right.push_back({x + 0.006 + 0.14 * u * u, y});
  }
  left.insert(left.end(), right.rbegin(), right.rend());
  cv::Mat sand(canvas.light.size(), CV_32FC1, cv::Scalar(tone));
  texture(sand, fractal_noise(canvas.light.size(), canvas.px(0.06), 1.0, 0.8, dice), 0.09);
  cv::Mat mask = soft_mask(canvas, left, 0.006);
  const cv::Mat tufts = fractal_noise(canvas.light.size(), canvas.px(0.03), 1.5, 0.8, dice);
  mask = cv::max(0.0, cv::min(1.0, mask * 2.0 - 0.5 + 0.45 * tufts.mul(mask).mul(1.6 - mask)));
  lay_over(canvas, mask, sand);
}

void draw_hills(Canvas& canvas, double horizon, double sky, Dice& dice) {
  const int layers = dice.whole(1, 3);
  for (int i = 0; i < layers; ++i) {
    const double haze = 1.0 - (i + 1.0) / (layers + 1.0);
    const auto line = wandering(97, 48.0, 1.5, 0.55, dice);
    const double base = horizon - 0.02 - 0.07 * haze;
    Polygon hill{{-0.1, horizon + 0.05}};
    for (int k = 0; k < 97; ++k)
      hill.push_back(
          {canvas.aspect() * k / 96.0 * 1.1 - 0.03, base - 0.03 * line[static_cast<std::size_t>(k)]});
    hill.push_back({canvas.aspect() + 0.1, horizon + 0.05});
    cv::Mat tone(canvas.light.size(), CV_32FC1, cv::Scalar(0.10 + (sky * 0.7 - 0.10) * haze * haze));
    texture(tone, fractal_noise(canvas.light.size(), canvas.px(0.03), 1.0, 0.85, dice), 0.12 * (1.0 - haze));
    lay_over(canvas, soft_mask(canvas, hill, 0.0015), tone);
  }
}

void draw_fence(Canvas& canvas, double horizon, Dice& dice) {
  const double y0 = horizon + dice.uniform(0.10, 0.2);
  const double slope = dice.uniform(-0.08, 0.12);
  const double tall = dice.uniform(0.07, 0.12);
  const double tone = dice.uniform(0.12, 0.4);
  for (double x = -0.02; x < canvas.aspect() + 0.1; x += dice.uniform(0.10, 0.13)) {
    const double y = y0 + slope * x;
    draw_line(canvas, {x, y + 0.01}, {x + dice.uniform(-0.004, 0.004), y - tall}, 0.009, tone * 0.8);
  }
  for (double share : {0.25, 0.6, 0.92})
    draw_line(canvas, {-0.1, y0 - slope * 0.1 - share * tall},
              {canvas.aspect() + 0.1, y0 + slope * (canvas.aspect() + 0.1) - share * tall}, 0.005, tone);
}

void draw_bushes(Canvas& canvas, double horizon, double tone, Dice& dice) {
  const int count = dice.whole(14, 30);
  for (int i = 0; i < count; ++i) {
    const double near = dice.uniform() * dice.uniform();
    const Point centre{dice.uniform(-0.05, canvas.aspect() + 0.05),
                       horizon - 0.01 + 0.5 * near * (1.0 - horizon)};
    draw_leaves(canvas, centre, 0.025 + 0.09 * near + dice.uniform(0.0, 0.03), 0.0025 + 0.005 * near,
                tone * dice.uniform(0.5, 1.5), 130, dice);
  }
}

}  // namespace

void draw_leaves(Canvas& canvas, Point centre, double radius, double leaf, double tone, int count,
                 Dice& dice) {
  for (int i = 0; i < count; ++i) {
    const double far = radius * std::sqrt(dice.uniform());
    const double turn = dice.uniform(0.0, 2.0 * std::numbers::pi);
    const Point at = centre + Point{far * std::cos(turn), 0.8 * far * std::sin(turn)};
    const double lit = 1.0 + 0.7 * (centre.y - at.y) / radius;  // the top of a clump sees the sky
    draw_ellipse(canvas, at, leaf * dice.uniform(0.6, 1.7), leaf * dice.uniform(0.3, 0.9),
                 dice.uniform(0.0, 180.0), tone * lit * dice.log_uniform(0.35, 2.6));
  }
}

void draw_tree(Canvas& canvas, Point foot, double height, double trunk, double tone, double leaf_share,
               Dice& dice) {
  const double length = height * 0.42;
  draw_branch(canvas, foot, 90.0 + dice.uniform(-5.0, 5.0), length, trunk, tone, leaf_share, 4, dice);
}

Canvas landscape(cv::Size size, Dice dice, bool white_sky) {
  const double sky = 1.0;
  Canvas canvas = blank_canvas(size, sky);
  // A blue-sensitive plate hardly tells cloud from sky.
  texture(canvas.light, fractal_noise(size, canvas.px(0.7), canvas.px(0.05), 0.5, dice),
          white_sky ? 0.012 : 0.04);
  const double horizon = white_sky ? dice.uniform(0.6, 0.78) : dice.uniform(0.38, 0.58);
  for (int y = 0; y < size.height; ++y)
    canvas.light.row(y) *= 0.82 + 0.18 * std::min(1.0, y / (horizon * size.height));
  draw_hills(canvas, horizon, sky, dice);
  const double green = dice.log_uniform(0.035, 0.08);
  const int far_trees = dice.whole(3, 12);
  for (int i = 0; i < far_trees; ++i)
    draw_leaves(canvas, {dice.uniform(0.0, canvas.aspect()), horizon - dice.uniform(0.0, 0.03)},
                dice.uniform(0.02, 0.06), 0.003, green * 2.0, 120, dice);
  blur_where(canvas, cv::Mat::ones(size, CV_32FC1), 0.0012);
  draw_ground(canvas, horizon, green * dice.uniform(1.6, 3.0), dice);
  if (dice.chance(0.6)) draw_path(canvas, horizon, dice.uniform(0.22, 0.4), dice);
  draw_bushes(canvas, horizon, green, dice);
  if (dice.chance(0.4)) draw_fence(canvas, horizon, dice);
  const int trees = white_sky ? dice.whole(1, 2) : dice.whole(1, 4);
  for (int i = 0; i < trees; ++i) {
    const Point foot{canvas.aspect() * dice.uniform(0.03, 0.97), horizon + dice.uniform(0.03, 0.25)};
    draw_tree(canvas, foot, dice.uniform(0.55, 1.0), dice.uniform(0.010, 0.028), dice.uniform(0.03, 0.09),
              dice.chance(0.5) ? dice.uniform(0.3, 0.9) : 0.0, dice);
  }
  return canvas;
}

}  // namespace platewise
