#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "noise.h"
#include "scene_canvas.h"

namespace platewise {
namespace {

cv::Mat everywhere(const Canvas& canvas) {
  return cv::Mat::ones(canvas.light.size(), CV_32FC1);
}

// A table top with a cloth that hangs over its edge in folds.
void lay_table(Canvas& canvas, double back, double edge, double tone, Dice& dice) {
  const cv::Size size = canvas.light.size();
  cv::Mat top(size, CV_32FC1, cv::Scalar(tone));
  texture(top, smooth_noise(size, canvas.px(0.3), canvas.px(0.03), dice), 0.03);
  texture(top, fractal_noise(size, canvas.px(0.01), 1.0, 0.9, dice), 0.035);
  lay_over(
      canvas,
      soft_mask(canvas,
                {{-0.1, back}, {canvas.aspect() + 0.1, back}, {canvas.aspect() + 0.1, edge}, {-0.1, edge}},
                0.002),
      top);
  cv::Mat front(size, CV_32FC1, cv::Scalar(tone * 0.45));
  texture(front, smooth_noise(size, canvas.px(0.035), canvas.px(0.8), dice), 0.16);
  texture(front, fractal_noise(size, canvas.px(0.01), 1.0, 0.9, dice), 0.035);
  lay_over(canvas,
           soft_mask(canvas,
                     {{-0.1, edge}, {canvas.aspect() + 0.1, edge}, {canvas.aspect() + 0.1, 1.1}, {-0.1, 1.1}},
                     0.003),
           front);
}

std::vector<Lump> bottle(double x, double foot, double height, double width, double albedo) {
  return {{{x, foot - 0.33 * height}, 0.5 * width, 0.36 * height, 0.5 * width, 0.0, 0.0, albedo, 4.0},
          {{x, foot - 0.66 * height}, 0.42 * width, 0.16 * height, 0.42 * width, 0.0, 0.0, albedo, 2.0},
          {{x, foot - 0.85 * height}, 0.15 * width, 0.2 * height, 0.15 * width, 0.0, 0.0, albedo, 5.0},
          {{x, foot - 0.985 * height}, 0.19 * width, 0.022 * height, 0.19 * width, 0.0, 0.0, albedo, 2.0}};
}

std::vector<Lump> jug(double x, double foot, double height, double albedo) {
  return {
      {{x, foot - 0.34 * height}, 0.34 * height, 0.36 * height, 0.3 * height, 0.0, 0.0, albedo, 2.3},
      {{x, foot - 0.76 * height}, 0.19 * height, 0.22 * height, 0.19 * height, 0.0, 0.0, albedo, 3.0},
      {{x, foot - 0.95 * height}, 0.25 * height, 0.05 * height, 0.2 * height, 0.0, 0.0, albedo * 1.1, 2.0}};
}

void place(Canvas& canvas, const std::vector<Lump>& lumps, const Lighting& light, double rough, Dice& dice) {
  double foot = 0.0;
  double middle = 0.0;
  double half = 0.0;
  for (const Lump& lump : lumps) {
    foot = std::max(foot, lump.centre.y + lump.radius_y);
    middle = lump.centre.x;
    half = std::max(half, lump.radius_x);
  }
  Polygon shade;  // thrown away from the window
  const double away = light.from_x < 0.0 ? 1.0 : -1.0;
  for (int i = 0; i < 24; ++i) {
    const double turn = 6.2832 * i / 24.0;
    shade.push_back({middle + away * half * 0.9 + 1.7 * half * std::cos(turn),
                     foot - 0.004 + 0.22 * half * std::sin(turn)});
  }
  lay_over(canvas, 0.7 * soft_mask(canvas, shade, 0.012), cv::Mat(canvas.light * 0.3));
  const Body body = body_of(canvas, lumps, 0.012);
  cv::Mat tone = shaded(canvas, body, light);
  texture(tone, fractal_noise(tone.size(), canvas.px(0.03), 1.0, 0.8, dice), rough);
  lay_body(canvas, body, body.mask, tone);
}

void glint(Canvas& canvas, Point at, double width, double height, double tone) {
  const Polygon bar{{at.x - width, at.y - height},
                    {at.x + width, at.y - height},
                    {at.x + width, at.y + height},
                    {at.x - width, at.y + height}};
  cv::Mat light(canvas.light.size(), CV_32FC1, cv::Scalar(tone));
  lay_over(canvas, 0.8 * soft_mask(canvas, bar, 0.003), light);
}

}  // namespace

Canvas still_life(cv::Size size, Dice dice) {
  Canvas canvas = blank_canvas(size, dice.log_uniform(0.02, 0.3));
  texture(canvas.light, fractal_noise(size, canvas.px(0.5), canvas.px(0.02), 0.6, dice), 0.10);
  texture(canvas.light, smooth_noise(size, canvas.px(0.12), canvas.px(1.2), dice), 0.08);
  blur_where(canvas, everywhere(canvas), 0.004);
  const double back = dice.uniform(0.55, 0.66);
  lay_table(canvas, back, back + dice.uniform(0.17, 0.26), dice.log_uniform(0.12, 0.8), dice);
  Lighting light;
  light.from_x = (dice.chance(0.5) ? -1.0 : 1.0) * dice.uniform(0.5, 0.9);
  light.fill = dice.uniform(0.08, 0.25);
  const int count = dice.whole(3, 6);
  for (int i = 0; i < count; ++i) {
    const double x = canvas.aspect() * (0.12 + 0.76 * (i + dice.uniform(0.2, 0.8)) / count);
    const double foot = back + dice.uniform(0.03, 0.15);
    const double albedo = dice.log_uniform(0.04, 0.85);
    const int what = dice.whole(0, 3);
    if (what == 0) {
      const double height = dice.uniform(0.25, 0.45);
      const double width = height * dice.uniform(0.26, 0.4);
      place(canvas, bottle(x, foot, height, width, albedo * 0.4), light, 0.02, dice);
      glint(canvas, {x + (light.from_x < 0.0 ? -0.25 : 0.25) * width, foot - 0.4 * height}, 0.05 * width,
            0.15 * height, 0.7);
    } else if (what == 1) {
      place(canvas, jug(x, foot, dice.uniform(0.18, 0.32), albedo), light, 0.03, dice);
    } else if (what == 2) {
      const int fruit = dice.whole(2, 6);
      for (int k = 0; k < fruit; ++k) {
        const double r = dice.uniform(0.025, 0.05);
        place(canvas,
              {{{x + dice.uniform(-0.08, 0.08), foot - r + 0.02 * k / fruit},
                r,
                r * 0.93,
                r,
                0.0,
                0.0,
                dice.log_uniform(0.06, 0.4),
                2.0}},
              light, 0.05, dice);
      }
    } else {
      const double w = dice.uniform(0.07, 0.13);
      const double h = dice.uniform(0.03, 0.06);
      for (int k = 0; k < dice.whole(1, 4); ++k)  // books
        draw_polygon(canvas,
                     {{x - w + 0.01 * k, foot - h * (k + 1)},
                      {x + w, foot - h * (k + 1) + 0.004},
                      {x + w, foot - h * k - 0.003},
                      {x - w, foot - h * k}},
                     dice.log_uniform(0.03, 0.5));
    }
  }
  return canvas;
}

Canvas dark_interior(cv::Size size, Dice dice) {
  Canvas canvas = blank_canvas(size, dice.log_uniform(0.008, 0.02));
  const double window_x = canvas.aspect() * dice.uniform(0.12, 0.7);
  const double window_y = dice.uniform(0.1, 0.22);
  const double w = dice.uniform(0.14, 0.24);
  const double h = dice.uniform(0.24, 0.4);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {  // light falls off from the window
      const double dx = (x + 0.5) / size.height - window_x - w / 2.0;
      const double dy = (y + 0.5) / size.height - window_y - h / 2.0;
      canvas.light.at<float>(y, x) += static_cast<float>(0.06 / (1.0 + 14.0 * (dx * dx + dy * dy)));
    }
  texture(canvas.light, fractal_noise(size, canvas.px(0.3), 1.0, 0.75, dice), 0.09);
  const double floor_y = dice.uniform(0.74, 0.84);
  cv::Mat boards(size, CV_32FC1, cv::Scalar(0.03));
  texture(boards, smooth_noise(size, canvas.px(0.9), canvas.px(0.006), dice), 0.15);
  texture(boards, fractal_noise(size, canvas.px(0.05), 1.0, 0.8, dice), 0.06);
  lay_over(canvas,
           soft_mask(
               canvas,
               {{-0.1, floor_y}, {canvas.aspect() + 0.1, floor_y}, {canvas.aspect() + 0.1, 1.1}, {-0.1, 1.1}},
               0.002),
           boards);
  const double lean = dice.uniform(-0.3, 0.3);  // the pool of light on the floor
  lay_over(canvas,
           soft_mask(canvas,
                     {{window_x + lean * 0.3, floor_y + 0.03},
                      {window_x + w + lean * 0.3, floor_y + 0.03},
                      {window_x + w * 1.4 + lean, 0.99},
                      {window_x - w * 0.3 + lean, 0.99}},
                     0.015),
           cv::Mat(boards * 9.0));
  draw_polygon(canvas,
               {{window_x - 0.02, window_y - 0.02},
                {window_x + w + 0.02, window_y - 0.02},
                {window_x + w + 0.02, window_y + h + 0.02},
                {window_x - 0.02, window_y + h + 0.02}},
               0.12);
  draw_polygon(canvas,
               {{window_x, window_y},
                {window_x + w, window_y},
                {window_x + w, window_y + h},
                {window_x, window_y + h}},
               dice.uniform(0.5, 1.0));
  draw_leaves(canvas, {window_x + w * 0.3, window_y + h}, 0.06, 0.004, 0.25, 160, dice);
  draw_polygon(canvas,
               {{window_x - 0.02, window_y + h},
                {window_x + w + 0.02, window_y + h},
                {window_x + w + 0.02, window_y + h + 0.05},
                {window_x - 0.02, window_y + h + 0.05}},
               0.1);
  for (int i = 1; i < 3; ++i)
    draw_line(canvas, {window_x + w * i / 3.0, window_y}, {window_x + w * i / 3.0, window_y + h}, 0.006,
              0.05);
  for (int i = 1; i < 4; ++i)
    draw_line(canvas, {window_x, window_y + h * i / 4.0}, {window_x + w, window_y + h * i / 4.0}, 0.005,
              0.05);
  for (int y = 0; y < 3; ++y) {  // shelf with jars
    const double shelf = 0.3 + 0.13 * y;
    const double from = window_x > canvas.aspect() / 2.0 ? 0.02 : window_x + w + 0.08;
    const double to = window_x > canvas.aspect() / 2.0 ? window_x - 0.08 : canvas.aspect() - 0.02;
    draw_line(canvas, {from, shelf}, {to, shelf}, 0.008, 0.05);
    for (double x = from + 0.03; x < to - 0.03; x += dice.uniform(0.04, 0.09))
      if (dice.chance(0.75)) {
        const double tall = dice.uniform(0.03, 0.085);
        const double wide = dice.uniform(0.012, 0.024);
        Lighting light;
        light.from_x = window_x - x;
        light.fill = 0.1;
        const Body body = body_of(canvas,
                                  {{{x, shelf - tall / 2.0 - 0.004},
                                    wide,
                                    tall / 2.0,
                                    wide,
                                    0.0,
                                    0.0,
                                    dice.log_uniform(0.03, 0.3),
                                    4.0}},
                                  0.005);
        lay_body(canvas, body, body.mask, shaded(canvas, body, light));
      }
  }
  Lighting light;
  light.from_x = window_x > canvas.aspect() / 2.0 ? 0.9 : -0.9;
  light.fill = 0.06;
  const double x = canvas.aspect() * dice.uniform(0.25, 0.75);
  place(canvas,
        {{{x, 0.72}, 0.16, 0.02, 0.06, 0.0, 0.0, 0.12, 6.0},
         {{x - 0.12, 0.82}, 0.012, 0.11, 0.012, 0.0, 0.0, 0.08, 6.0},
         {{x + 0.12, 0.82}, 0.012, 0.11, 0.012, 0.0, 0.0, 0.08, 6.0}},
        light, 0.05, dice);
  place(canvas, jug(x + dice.uniform(-0.06, 0.06), 0.705, 0.12, 0.4), light, 0.03, dice);
  return canvas;
}

}  // namespace platewise
