#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "noise.h"
#include "scene_canvas.h"

namespace platewise {
namespace {

struct Wall {
  double top = 0.15;
  double left = 0.0;
  double right = 0.8;
  double slant = 0.0;  // of the courses, as a building seen from the side
  double stone = 0.3;
  [[nodiscard]] double y(double x, double share) const {
    const double top_here = top + slant * (x - left) * 0.5;
    return top_here + share * (0.93 - slant * (x - left) * 0.12 - top_here);
  }
};

void lay_bricks(Canvas& canvas, const Wall& wall, Dice& dice) {
  const int courses = dice.whole(34, 60);
  const double brick = dice.uniform(0.035, 0.055);
  for (int c = 0; c < courses; ++c) {
    const double from = c / static_cast<double>(courses);
    const double to = (c + 0.86) / courses;
    for (double x = wall.left - brick * (c % 2 == 0 ? 0.0 : 0.5); x < wall.right; x += brick) {
      const double a = std::max(wall.left, x + 0.001);
      const double b = std::min(wall.right, x + brick * 0.93);
      if (b <= a) continue;
      const double tone = wall.stone * dice.log_uniform(0.7, 1.3);
      draw_polygon(
          canvas, {{a, wall.y(a, from)}, {b, wall.y(b, from)}, {b, wall.y(b, to)}, {a, wall.y(a, to)}}, tone);
    }
  }
}

void cut_window(Canvas& canvas, const Wall& wall, double x, double width, double from, double to,
                Dice& dice) {
  const auto quad = [&](double grow, double down) {
    const double a = x - grow;
    const double b = x + width + grow;
    return Polygon{{a, wall.y(a, from) - grow},
                   {b, wall.y(b, from) - grow},
                   {b, wall.y(b, to) + grow + down},
                   {a, wall.y(a, to) + grow + down}};
  };
  draw_polygon(canvas, quad(0.012, 0.006), wall.stone * 1.9);
  const double pane = dice.log_uniform(0.008, 0.05);
  draw_polygon(canvas, quad(0.0, 0.0), pane);
  if (dice.chance(0.35))  // sky in the glass
    draw_polygon(
        canvas, {{x, wall.y(x, from)}, {x + width * 0.7, wall.y(x, from)}, {x, wall.y(x, 0.5 * (from + to))}},
        pane * 6.0);
  const double bar = wall.stone * 1.5;
  const double h = to - from;
  for (int i = 1; i < 3; ++i)
    draw_line(canvas, {x + width * i / 3.0, wall.y(x, from)}, {x + width * i / 3.0, wall.y(x, to)}, 0.003,
              bar);
  for (int i = 1; i < 4; ++i)
    draw_line(canvas, {x, wall.y(x, from + h * i / 4.0)}, {x + width, wall.y(x + width, from + h * i / 4.0)},
              0.003, bar);
  if (dice.chance(0.3))
    for (double side : {-1.0, 1.0}) {  // shutters with slats
      const double edge = side < 0.0 ? x - width * 0.55 : x + width + 0.01;
      draw_polygon(canvas,
                   {{edge, wall.y(edge, from)},
                    {edge + width * 0.5, wall.y(edge, from)},
                    {edge + width * 0.5, wall.y(edge, to)},
                    {edge, wall.y(edge, to)}},
                   0.10);
      for (int k = 1; k < 14; ++k)
        draw_line(canvas, {edge, wall.y(edge, from + h * k / 14.0)},
                  {edge + width * 0.5, wall.y(edge, from + h * k / 14.0)}, 0.0016, 0.03);
    }
}

void draw_door(Canvas& canvas, const Wall& wall, double x, Dice& dice) {
  const double width = 0.12;
  draw_polygon(canvas,
               {{x - 0.015, wall.y(x, 0.66)},
                {x + width + 0.015, wall.y(x, 0.66)},
                {x + width + 0.015, wall.y(x, 1.0)},
                {x - 0.015, wall.y(x, 1.0)}},
               wall.stone * 1.8);
  draw_polygon(
      canvas,
      {{x, wall.y(x, 0.68)}, {x + width, wall.y(x, 0.68)}, {x + width, wall.y(x, 1.0)}, {x, wall.y(x, 1.0)}},
      dice.log_uniform(0.02, 0.09));
  for (int row = 0; row < 3; ++row)
    for (int column = 0; column < 2; ++column) {
      const double px = x + 0.015 + column * 0.052;
      const double py = wall.y(x, 0.70 + row * 0.10);
      draw_polygon(canvas, {{px, py}, {px + 0.038, py}, {px + 0.038, py + 0.05}, {px, py + 0.05}},
                   dice.uniform(0.04, 0.08));
    }
}

void draw_ladder(Canvas& canvas, const Wall& wall, Dice& dice) {
  const double x = dice.uniform(wall.left + 0.05, wall.right - 0.2);
  const Point a{x, 0.96}, b{x + 0.10, 0.96};
  const Point up{0.08, -dice.uniform(0.4, 0.6)};
  draw_line(canvas, a, a + up, 0.006, 0.30);
  draw_line(canvas, b, b + up, 0.006, 0.26);
  for (int i = 1; i < 13; ++i) draw_line(canvas, a + (i / 13.0) * up, b + (i / 13.0) * up, 0.004, 0.28);
}

}  // namespace

Canvas facade(cv::Size size, Dice dice) {
  Canvas canvas = blank_canvas(size, dice.uniform(0.85, 1.0));
  Wall wall;
  wall.top = dice.uniform(-0.05, 0.28);
  wall.left = dice.chance(0.5) ? -0.05 : canvas.aspect() * dice.uniform(0.05, 0.2);
  wall.right = dice.chance(0.5) ? canvas.aspect() + 0.05 : canvas.aspect() * dice.uniform(0.8, 0.95);
  wall.slant = dice.uniform(-0.3, 0.3);
  wall.stone = dice.log_uniform(0.14, 0.42);
  draw_polygon(canvas,
               {{wall.left, wall.y(wall.left, 0.0)},
                {wall.right, wall.y(wall.right, 0.0)},
                {wall.right, 1.1},
                {wall.left, 1.1}},
               wall.stone * 1.15);
  lay_bricks(canvas, wall, dice);
  draw_polygon(canvas,
               {{wall.left - 0.02, wall.y(wall.left, 0.0) - 0.02},
                {wall.right + 0.02, wall.y(wall.right, 0.0) - 0.02},
                {wall.right + 0.02, wall.y(wall.right, 0.02)},
                {wall.left - 0.02, wall.y(wall.left, 0.02)}},
               wall.stone * 1.7);
  const int columns = dice.whole(2, 4);
  const double span = (wall.right - wall.left) / columns;
  for (int row = 0; row < 2; ++row)
    for (int column = 0; column < columns; ++column)
      cut_window(canvas, wall, wall.left + span * (column + 0.3), span * 0.38, 0.12 + 0.34 * row,
                 0.34 + 0.32 * row, dice);
  draw_door(canvas, wall, wall.left + span * (dice.whole(0, columns - 1) + 0.25), dice);
  cv::Mat stained = canvas.light.clone();
  texture(stained, fractal_noise(size, canvas.px(0.35), 1.0, 0.78, dice), 0.09);
  texture(stained, smooth_noise(size, canvas.px(0.03), canvas.px(0.4), dice), 0.04);
  lay_over(canvas,
           soft_mask(canvas,
                     {{wall.left, wall.y(wall.left, 0.0)},
                      {wall.right, wall.y(wall.right, 0.0)},
                      {wall.right, 1.1},
                      {wall.left, 1.1}},
                     0.001),
           stained);
  cv::Mat street(size, CV_32FC1, cv::Scalar(dice.uniform(0.12, 0.3)));
  texture(street, fractal_noise(size, canvas.px(0.08), 1.0, 0.85, dice), 0.12);
  lay_over(canvas,
           soft_mask(canvas,
                     {{-0.1, 0.93}, {canvas.aspect() + 0.1, 0.93}, {canvas.aspect() + 0.1, 1.1}, {-0.1, 1.1}},
                     0.004),
           street);
  if (dice.chance(0.4)) draw_ladder(canvas, wall, dice);
  if (dice.chance(0.5))
    draw_tree(canvas, {canvas.aspect() * dice.uniform(0.05, 0.95), 0.95}, dice.uniform(0.6, 0.9),
              dice.uniform(0.008, 0.016), 0.05, dice.chance(0.5) ? 0.5 : 0.0, dice);
  if (dice.chance(0.5)) {  // sun from one side: the eaves' shadow
    const double low = dice.uniform(0.06, 0.2);
    const cv::Mat shade = soft_mask(canvas,
                                    {{wall.left, wall.y(wall.left, 0.02)},
                                     {wall.right, wall.y(wall.right, 0.02)},
                                     {wall.right, wall.y(wall.right, low)},
                                     {wall.left, wall.y(wall.left, low * 0.6)}},
                                    0.004);
    lay_over(canvas, shade, cv::Mat(canvas.light * 0.4));
  }
  return canvas;
}

}  // namespace platewise
