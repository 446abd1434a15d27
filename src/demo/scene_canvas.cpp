#include "scene_canvas.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "noise.h"

namespace platewise {
namespace {

constexpr int kShift = 4;  // sub-pixel bits of OpenCV's drawing
constexpr float kNothing = -10.0F;

cv::Point fixed(const Canvas& canvas, Point p) {
  const double scale = static_cast<double>(1 << kShift);
  return {static_cast<int>(std::lround((canvas.px(p.x) - 0.5) * scale)),
          static_cast<int>(std::lround((canvas.px(p.y) - 0.5) * scale))};
}

// OpenCV draws smooth edges on 8-bit pictures only, so a shape is drawn as coverage and then laid over.
struct Stencil {
  cv::Rect box;
  cv::Mat coverage;  // CV_8UC1
};

Stencil stencil_for(const Canvas& canvas, double left, double top, double right, double bottom) {
  const int x0 = std::max(0, static_cast<int>(std::floor(canvas.px(left))) - 2);
  const int y0 = std::max(0, static_cast<int>(std::floor(canvas.px(top))) - 2);
  const int x1 = std::min(canvas.light.cols, static_cast<int>(std::ceil(canvas.px(right))) + 2);
  const int y1 = std::min(canvas.light.rows, static_cast<int>(std::ceil(canvas.px(bottom))) + 2);
  Stencil stencil;
  if (x1 <= x0 || y1 <= y0) return stencil;
  stencil.box = {x0, y0, x1 - x0, y1 - y0};
  stencil.coverage = cv::Mat::zeros(stencil.box.size(), CV_8UC1);
  return stencil;
}

void lay(Canvas& canvas, const Stencil& stencil, double tone) {
  cv::Mat target = canvas.light(stencil.box);
  for (int y = 0; y < target.rows; ++y) {
    auto* row = target.ptr<float>(y);
    const auto* cover = stencil.coverage.ptr<std::uint8_t>(y);
    for (int x = 0; x < target.cols; ++x) {
      const float share = static_cast<float>(cover[x]) / 255.0F;
      row[x] += share * (static_cast<float>(tone) - row[x]);
    }
  }
}

std::vector<cv::Point> fixed(const Canvas& canvas, const Polygon& outline, cv::Point origin) {
  std::vector<cv::Point> points;
  points.reserve(outline.size());
  for (Point p : outline) points.push_back(fixed(canvas, p) - origin * (1 << kShift));
  return points;
}

Stencil polygon_stencil(const Canvas& canvas, const Polygon& outline) {
  double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
  for (Point p : outline) {
    left = std::min(left, p.x), right = std::max(right, p.x);
    top = std::min(top, p.y), bottom = std::max(bottom, p.y);
  }
  Stencil stencil = stencil_for(canvas, left, top, right, bottom);
  if (stencil.coverage.empty()) return stencil;
  const std::vector<std::vector<cv::Point>> polygons{fixed(canvas, outline, stencil.box.tl())};
  cv::fillPoly(stencil.coverage, polygons, cv::Scalar(255), cv::LINE_AA, kShift);
  return stencil;
}

float lump_height(const Lump& lump, double x, double y) {
  const double turn = lump.angle_deg * std::numbers::pi / 180.0;
  const double dx = x - lump.centre.x;
  const double dy = y - lump.centre.y;
  const double u = std::abs(dx * std::cos(turn) + dy * std::sin(turn)) / lump.radius_x;
  const double v = std::abs(-dx * std::sin(turn) + dy * std::cos(turn)) / lump.radius_y;
  if (u >= 1.0 || v >= 1.0) return kNothing;
  const double rest =
      lump.power == 2.0 ? 1.0 - u * u - v * v : 1.0 - std::pow(u, lump.power) - std::pow(v, lump.power);
  if (rest <= 0.0) return kNothing;
  return static_cast<float>(lump.depth + lump.radius_z * std::sqrt(rest));
}

}  // namespace

Canvas blank_canvas(cv::Size size, double luminance) {
  return {cv::Mat(size, CV_32FC1, cv::Scalar(luminance))};
}

void draw_line(Canvas& canvas, Point from, Point to, double width, double tone) {
  Stencil stencil = stencil_for(canvas, std::min(from.x, to.x) - width, std::min(from.y, to.y) - width,
                                std::max(from.x, to.x) + width, std::max(from.y, to.y) + width);
  if (stencil.coverage.empty()) return;
  const double width_px = canvas.px(width);
  const cv::Point origin = stencil.box.tl() * (1 << kShift);
  if (width_px < 1.5) {  // thinner than a pixel: paler instead
    cv::line(stencil.coverage, fixed(canvas, from) - origin, fixed(canvas, to) - origin,
             cv::Scalar(255.0 * std::clamp(width_px, 0.15, 1.0)), 1, cv::LINE_AA, kShift);
  } else {
    cv::line(stencil.coverage, fixed(canvas, from) - origin, fixed(canvas, to) - origin, cv::Scalar(255),
             std::max(1, static_cast<int>(std::lround(width_px))), cv::LINE_AA, kShift);
  }
  lay(canvas, stencil, tone);
}

void draw_polygon(Canvas& canvas, const Polygon& outline, double tone) {
  const Stencil stencil = polygon_stencil(canvas, outline);
  if (!stencil.coverage.empty()) lay(canvas, stencil, tone);
}

void draw_ellipse(Canvas& canvas, Point centre, double radius_x, double radius_y, double angle_deg,
                  double tone) {
  const double reach = std::max(radius_x, radius_y);
  Stencil stencil =
      stencil_for(canvas, centre.x - reach, centre.y - reach, centre.x + reach, centre.y + reach);
  if (stencil.coverage.empty()) return;
  const double scale = static_cast<double>(1 << kShift);
  const cv::Size axes(static_cast<int>(std::lround(canvas.px(radius_x) * scale)),
                      static_cast<int>(std::lround(canvas.px(radius_y) * scale)));
  cv::ellipse(stencil.coverage, fixed(canvas, centre) - stencil.box.tl() * (1 << kShift), axes, angle_deg,
              0.0, 360.0, cv::Scalar(255), cv::FILLED, cv::LINE_AA, kShift);
  lay(canvas, stencil, tone);
}

cv::Mat soft_mask(const Canvas& canvas, const Polygon& outline, double soft) {
  cv::Mat mask = cv::Mat::zeros(canvas.light.size(), CV_32FC1);
  const Stencil stencil = polygon_stencil(canvas, outline);
  if (stencil.coverage.empty()) return mask;
  cv::Mat part = mask(stencil.box);
  stencil.coverage.convertTo(part, CV_32FC1, 1.0 / 255.0);
  return canvas.px(soft) > 0.3 ? blurred(mask, canvas.px(soft)) : mask;
}

void lay_over(Canvas& canvas, const cv::Mat& mask, const cv::Mat& tone) {
  cv::Mat change = (tone - canvas.light).mul(mask);
  canvas.light += change;
}

void blur_where(Canvas& canvas, const cv::Mat& mask, double sigma) {
  if (canvas.px(sigma) < 0.3) return;
  lay_over(canvas, mask, blurred(canvas.light, canvas.px(sigma)));
}

void lay_body(Canvas& canvas, const Body& body, const cv::Mat& mask, const cv::Mat& tone) {
  cv::Mat part = canvas.light(body.box);
  cv::Mat change = (tone - part).mul(mask);
  part += change;
}

Body body_of(const Canvas& canvas, const std::vector<Lump>& lumps, double blend) {
  Body body;
  const int rows = canvas.light.rows;
  const auto around = [&](const Lump& lump) {
    const double turn = lump.angle_deg * std::numbers::pi / 180.0;
    const double reach_x =
        std::abs(lump.radius_x * std::cos(turn)) + std::abs(lump.radius_y * std::sin(turn));
    const double reach_y =
        std::abs(lump.radius_x * std::sin(turn)) + std::abs(lump.radius_y * std::cos(turn));
    constexpr int kAir_px = 8;
    const cv::Rect box(static_cast<int>((lump.centre.x - reach_x) * rows) - kAir_px,
                       static_cast<int>((lump.centre.y - reach_y) * rows) - kAir_px,
                       static_cast<int>(2.0 * reach_x * rows) + 2 * kAir_px,
                       static_cast<int>(2.0 * reach_y * rows) + 2 * kAir_px);
    return box & cv::Rect({}, canvas.light.size());
  };
  for (const Lump& lump : lumps) body.box |= around(lump);
  if (body.box.empty()) body.box = {0, 0, 1, 1};
  body.height = cv::Mat(body.box.size(), CV_32FC1, cv::Scalar(kNothing));
  body.albedo = cv::Mat::zeros(body.box.size(), CV_32FC1);
  const auto soft = static_cast<float>(std::max(1e-4, blend));
  for (const Lump& lump : lumps) {
    const cv::Rect box = around(lump);
    for (int y = box.y; y < box.y + box.height; ++y) {
      auto* height = body.height.ptr<float>(y - body.box.y) - body.box.x;
      auto* albedo = body.albedo.ptr<float>(y - body.box.y) - body.box.x;
      for (int x = box.x; x < box.x + box.width; ++x) {
        const float z = lump_height(lump, (x + 0.5) / rows, (y + 0.5) / rows);
        if (z <= kNothing) continue;
        const float ahead = z - height[x];
        const float share = std::clamp(0.5F + 0.5F * ahead / soft, 0.0F, 1.0F);
        albedo[x] += share * (static_cast<float>(lump.albedo) - albedo[x]);
        // polynomial smooth maximum (Quilez, from memory): lumps melt into each other over `blend`
        height[x] = share >= 1.0F ? z : height[x] + share * ahead + 0.5F * soft * share * (1.0F - share);
      }
    }
  }
  cv::Mat there = body.height > -5.0F;
  there.convertTo(body.mask, CV_32FC1, 1.0 / 255.0);
  cv::GaussianBlur(body.mask, body.mask, {}, 0.9, 0.0, cv::BORDER_REPLICATE);
  return body;
}

cv::Mat shaded(const Canvas& canvas, const Body& body, const Lighting& lighting) {
  const int rows = canvas.light.rows;
  cv::Mat floor_height = cv::max(body.height, -0.05F);
  cv::Mat slope_x, slope_y;
  cv::Mat relief;
  cv::GaussianBlur(floor_height, relief, {}, 1.0);
  cv::Sobel(relief, slope_x, CV_32F, 1, 0, 3, rows / 8.0);
  cv::Sobel(relief, slope_y, CV_32F, 0, 1, 3, rows / 8.0);
  const cv::Mat around = blurred(floor_height, rows * 0.02);
  const double length = std::hypot(lighting.from_x, lighting.from_y, lighting.from_z);
  cv::Mat light(body.height.size(), CV_32FC1);
  for (int y = 0; y < light.rows; ++y) {
    const auto* sx = slope_x.ptr<float>(y);
    const auto* sy = slope_y.ptr<float>(y);
    const auto* near = floor_height.ptr<float>(y);
    const auto* wide = around.ptr<float>(y);
    const auto* albedo = body.albedo.ptr<float>(y);
    auto* row = light.ptr<float>(y);
    for (int x = 0; x < light.cols; ++x) {
      const double gx = std::clamp<double>(sx[x], -6.0, 6.0);
      const double gy = std::clamp<double>(sy[x], -6.0, 6.0);
      const double normal = 1.0 / std::sqrt(1.0 + gx * gx + gy * gy);
      const double cosine =
          (-gx * lighting.from_x - gy * lighting.from_y + lighting.from_z) * normal / length;
      const double key = std::max(0.0, (cosine + lighting.wrap) / (1.0 + lighting.wrap));
      const double hollow = std::clamp(1.0 - 9.0 * (wide[x] - near[x]), 0.45, 1.15);
      row[x] = static_cast<float>(albedo[x] * hollow * (key + lighting.fill));
    }
  }
  return light;
}

void texture(cv::Mat& tone, const cv::Mat& noise, double strength) {
  cv::Mat factor;
  cv::exp(noise * (strength * std::numbers::ln10), factor);
  tone = tone.mul(factor);
}

}  // namespace platewise
