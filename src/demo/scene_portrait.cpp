#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "noise.h"
#include "scene_canvas.h"

namespace platewise {
namespace {

// Luminances of the studio as a blue-sensitive plate sees them (linen = 0.8): skin falls dark. PRACTICE.
constexpr double kSkin = 0.33;
constexpr double kLinen = 0.85;

struct Sitter {
  double x = 0.4;  // middle of the head
  double head_y = 0.33;
  double scale = 1.0;  // head height / 0.25
  double lean = 0.0;
  double coat = 0.06;
  double hair = 0.05;
  bool beard = false;
  bool hat = false;
  bool dress = false;
};

Point at(const Sitter& sitter, double dx, double dy) {
  return {sitter.x + sitter.scale * (dx + sitter.lean * dy), sitter.head_y + sitter.scale * dy};
}

Lump lump(const Sitter& sitter, double dx, double dy, double rx, double ry, double rz, double depth,
          double albedo, double angle_deg = 0.0, double power = 2.0) {
  const double s = sitter.scale;
  return {at(sitter, dx, dy), rx * s, ry * s, rz * s, depth * s, angle_deg, albedo, power};
}

std::vector<Lump> torso(const Sitter& sitter, Dice& dice) {
  const double coat = sitter.coat;
  std::vector<Lump> lumps;
  lumps.push_back(lump(sitter, 0.0, 0.62, 0.27, 0.46, 0.15, -0.06, coat, 0.0, 2.6));
  for (double side : {-1.0, 1.0}) {
    lumps.push_back(lump(sitter, side * 0.17, 0.27, 0.13, 0.09, 0.09, -0.05, coat, side * 22.0));
    const double elbow = dice.uniform(0.24, 0.32);
    lumps.push_back(
        lump(sitter, side * (elbow - 0.03), 0.44, 0.085, 0.21, 0.09, -0.01, coat * 1.1, side * -9.0));
    lumps.push_back(
        lump(sitter, side * (elbow - 0.10), 0.64, 0.075, 0.16, 0.08, 0.05, coat * 1.15, side * 52.0));
    lumps.push_back(lump(sitter, side * dice.uniform(0.05, 0.10), 0.72, 0.045, 0.032, 0.03, 0.13, kSkin * 0.9,
                         side * 30.0));
  }
  lumps.push_back(lump(sitter, 0.0, 1.02, 0.36, 0.26, 0.2, 0.0, coat * 1.2));  // lap
  return lumps;
}

std::vector<Lump> head(const Sitter& sitter) {
  std::vector<Lump> lumps;
  lumps.push_back(lump(sitter, 0.0, 0.13, 0.050, 0.10, 0.05, 0.0, kSkin * 0.8));
  lumps.push_back(lump(sitter, 0.0, -0.012, 0.083, 0.113, 0.10, 0.03, kSkin));
  lumps.push_back(lump(sitter, 0.0, 0.062, 0.058, 0.055, 0.07, 0.05, kSkin));  // jaw
  for (double side : {-1.0, 1.0}) {
    lumps.push_back(lump(sitter, side * 0.037, 0.022, 0.032, 0.030, 0.022, 0.088, kSkin * 1.03));   // cheek
    lumps.push_back(lump(sitter, side * 0.030, -0.034, 0.036, 0.012, 0.016, 0.104, kSkin * 0.97));  // brow
    lumps.push_back(lump(sitter, side * 0.083, 0.008, 0.012, 0.028, 0.02, 0.03, kSkin * 0.8));      // ear
  }
  lumps.push_back(lump(sitter, 0.0, 0.004, 0.012, 0.034, 0.030, 0.118, kSkin * 1.05));
  lumps.push_back(lump(sitter, 0.0, 0.030, 0.017, 0.012, 0.028, 0.118, kSkin));         // nose
  lumps.push_back(lump(sitter, 0.0, 0.066, 0.026, 0.008, 0.012, 0.115, kSkin * 0.62));  // lips
  lumps.push_back(lump(sitter, 0.0, 0.092, 0.022, 0.016, 0.02, 0.10, kSkin));
  return lumps;
}

void draw_face(Canvas& canvas, const Sitter& sitter) {
  const double s = sitter.scale;
  for (double side : {-1.0, 1.0}) {
    const Point eye = at(sitter, side * 0.030, -0.014);
    cv::Mat socket = canvas.light * 0.45;
    Polygon around;
    for (int i = 0; i < 16; ++i)
      around.push_back(eye +
                       Point{0.021 * s * std::cos(0.3927 * i), (0.012 * std::sin(0.3927 * i) - 0.002) * s});
    lay_over(canvas, 0.7 * soft_mask(canvas, around, 0.005 * s), socket);
    draw_ellipse(canvas, eye, 0.0125 * s, 0.0042 * s, 0.0, 0.13);
    draw_ellipse(canvas, eye, 0.0050 * s, 0.0044 * s, 0.0, 0.025);
    draw_ellipse(canvas, eye + Point{-0.0015 * s, -0.0012 * s}, 0.0011 * s, 0.0011 * s, 0.0, 0.35);
    draw_line(canvas, eye + Point{-0.013 * s, -0.0028 * s}, eye + Point{0.013 * s, -0.0028 * s}, 0.0026 * s,
              0.03);
    draw_line(canvas, at(sitter, side * 0.015, -0.037), at(sitter, side * 0.046, -0.035), 0.0035 * s, 0.09);
  }
  draw_line(canvas, at(sitter, -0.022, 0.066), at(sitter, 0.022, 0.066), 0.0022 * s, 0.04);
}

void draw_hair(Canvas& canvas, const Sitter& sitter, const Lighting& lighting, Dice& dice) {
  std::vector<Lump> lumps;
  lumps.push_back(lump(sitter, 0.0, -0.085, 0.090, 0.062, 0.10, 0.06, sitter.hair));
  for (double side : {-1.0, 1.0}) {
    lumps.push_back(lump(sitter, side * 0.078, -0.045, 0.026, 0.065, 0.08, 0.045, sitter.hair));
    if (sitter.dress)
      lumps.push_back(lump(sitter, side * 0.082, 0.06, 0.028, 0.075, 0.07, 0.03, sitter.hair));
  }
  if (sitter.beard) {
    lumps.push_back(lump(sitter, 0.0, 0.105, 0.060, 0.058, 0.07, 0.07, sitter.hair * 1.3));
    lumps.push_back(lump(sitter, 0.0, 0.052, 0.036, 0.010, 0.02, 0.125, sitter.hair * 1.3));
  }
  if (sitter.hat) {
    lumps.push_back(lump(sitter, 0.0, -0.135, 0.085, 0.075, 0.10, 0.05, 0.04, 0.0, 4.0));
    lumps.push_back(lump(sitter, 0.0, -0.082, 0.150, 0.018, 0.09, 0.09, 0.045));
  }
  const Body body = body_of(canvas, lumps, 0.012 * sitter.scale);
  cv::Mat tone = shaded(canvas, body, lighting);
  texture(tone, smooth_noise(tone.size(), canvas.px(0.002), canvas.px(0.012), dice), 0.16);
  cv::Mat mask = body.mask.clone();
  const cv::Mat wisps = fractal_noise(tone.size(), canvas.px(0.012), 1.0, 0.8, dice);
  cv::GaussianBlur(mask, mask, {}, canvas.px(0.0025));
  mask = cv::max(0.0, cv::min(1.0, mask * 1.5 - 0.25 + 0.15 * wisps));
  lay_body(canvas, body, mask, tone);
}

void draw_linen(Canvas& canvas, const Sitter& sitter, Dice& dice) {
  cv::Mat tone(canvas.light.size(), CV_32FC1, cv::Scalar(kLinen * 0.75));
  texture(tone, fractal_noise(canvas.light.size(), canvas.px(0.05), 1.5, 0.75, dice), 0.07);
  const double depth = sitter.dress ? 0.20 : dice.uniform(0.30, 0.40);
  const Polygon shirt{at(sitter, -0.05, 0.135), at(sitter, 0.05, 0.135),   at(sitter, 0.035, 0.2),
                      at(sitter, 0.004, depth), at(sitter, -0.004, depth), at(sitter, -0.035, 0.2)};
  lay_over(canvas, soft_mask(canvas, shirt, 0.002), tone);
  if (sitter.dress) {  // lace collar
    for (int i = -9; i <= 9; ++i) {
      const double u = i / 9.0;
      draw_ellipse(canvas, at(sitter, 0.085 * u, 0.165 + 0.045 * (1.0 - u * u)), 0.011 * sitter.scale,
                   0.010 * sitter.scale, 0.0, kLinen * dice.uniform(0.5, 0.9));
    }
    return;
  }
  draw_polygon(canvas,
               {at(sitter, -0.03, 0.150), at(sitter, 0.0, 0.165), at(sitter, 0.03, 0.150),
                at(sitter, 0.034, 0.18), at(sitter, 0.0, 0.170), at(sitter, -0.034, 0.18)},
               0.03);
  for (int i = 0; i < 4; ++i)
    draw_ellipse(canvas, at(sitter, 0.012, depth + 0.03 + 0.055 * i), 0.006, 0.006, 0.0, 0.14);
}

void draw_backdrop(Canvas& canvas, bool dark, Dice& dice) {
  const double tone = dark ? dice.uniform(0.010, 0.022) : dice.uniform(0.28, 0.5);
  canvas.light.setTo(cv::Scalar(tone));
  const cv::Mat folds = smooth_noise(canvas.light.size(), canvas.px(0.16), canvas.px(1.4), dice);
  texture(canvas.light, folds, dark ? 0.10 : 0.05);
  texture(canvas.light, fractal_noise(canvas.light.size(), canvas.px(0.5), canvas.px(0.02), 0.6, dice),
          dark ? 0.10 : 0.06);
  const double floor_y = dice.uniform(0.86, 0.96);
  for (int y = static_cast<int>(canvas.px(floor_y)); y < canvas.light.rows; ++y) canvas.light.row(y) *= 1.4;
  blur_where(canvas, cv::Mat::ones(canvas.light.size(), CV_32FC1), 0.006);
}

Sitter seat(const Canvas& canvas, Dice& dice) {
  Sitter sitter;
  sitter.x = canvas.aspect() * dice.uniform(0.42, 0.58);
  sitter.scale = dice.uniform(0.75, 1.35) * std::min(1.0, canvas.aspect() / 0.7);
  sitter.head_y = 0.14 + 0.17 * sitter.scale + dice.uniform(-0.03, 0.05);
  sitter.lean = dice.uniform(-0.08, 0.08);
  sitter.coat = dice.log_uniform(0.03, 0.13);
  sitter.hair = dice.log_uniform(0.03, 0.10);
  sitter.dress = dice.chance(0.4);
  sitter.beard = !sitter.dress && dice.chance(0.5);
  sitter.hat = !sitter.dress && dice.chance(0.3);
  return sitter;
}

}  // namespace

Canvas portrait(cv::Size size, Dice dice, bool dark_backdrop) {
  Canvas canvas = blank_canvas(size, 0.01);
  draw_backdrop(canvas, dark_backdrop, dice);
  const Sitter sitter = seat(canvas, dice);
  Lighting lighting;
  lighting.from_x = (dice.chance(0.5) ? -1.0 : 1.0) * dice.uniform(0.45, 0.9);
  lighting.from_y = -dice.uniform(0.35, 0.7);
  lighting.fill = dice.uniform(0.10, 0.30);

  Body clothes = body_of(canvas, torso(sitter, dice), 0.05 * sitter.scale);
  const cv::Mat creases = fractal_noise(clothes.height.size(), canvas.px(0.16), canvas.px(0.008), 0.55, dice);
  clothes.height += 0.006 * sitter.scale * creases;
  cv::Mat cloth = shaded(canvas, clothes, lighting);
  texture(cloth, fractal_noise(cloth.size(), canvas.px(0.006), 1.0, 0.9, dice), 0.06);
  lay_body(canvas, clothes, clothes.mask, cloth);
  draw_linen(canvas, sitter, dice);

  const Body face = body_of(canvas, head(sitter), 0.034 * sitter.scale);
  cv::Mat skin = shaded(canvas, face, lighting);
  texture(skin, fractal_noise(skin.size(), canvas.px(0.02), 1.0, 0.7, dice), 0.035);
  lay_body(canvas, face, face.mask, skin);
  draw_face(canvas, sitter);
  blur_where(canvas, cv::Mat::ones(size, CV_32FC1), 0.0011);  // a second or two of sitting still
  draw_hair(canvas, sitter, lighting, dice);
  return canvas;
}

}  // namespace platewise
