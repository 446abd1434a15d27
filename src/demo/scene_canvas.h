#pragma once

#include <vector>

#include "dice.h"
#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

// What scenes are drawn with. A canvas holds linear luminance (CV_32FC1); lengths are shares of its height,
// so x runs from 0 to aspect and y from 0 to 1.
struct Canvas {
  cv::Mat light;

  [[nodiscard]] double aspect() const { return static_cast<double>(light.cols) / light.rows; }
  [[nodiscard]] double px(double share) const { return share * light.rows; }
};

[[nodiscard]] Canvas blank_canvas(cv::Size size, double luminance);

// Anti-aliased shapes. `tone` replaces what is there.
void draw_line(Canvas& canvas, Point from, Point to, double width, double tone);
void draw_polygon(Canvas& canvas, const Polygon& outline, double tone);
void draw_ellipse(Canvas& canvas, Point centre, double radius_x, double radius_y, double angle_deg,
                  double tone);

// Soft mask of an outline, 0..1, edges blurred by `soft`.
[[nodiscard]] cv::Mat soft_mask(const Canvas& canvas, const Polygon& outline, double soft);
// canvas = canvas (1 - mask) + tone mask, tone a picture.
void lay_over(Canvas& canvas, const cv::Mat& mask, const cv::Mat& tone);
void blur_where(Canvas& canvas, const cv::Mat& mask, double sigma);

// A body of rounded lumps seen from the front, shaded by one large window and a weak fill.
struct Lump {
  Point centre;
  double radius_x = 0.1;
  double radius_y = 0.1;
  double radius_z = 0.1;
  double depth = 0.0;  // of the centre, toward the camera
  double angle_deg = 0.0;
  double albedo = 0.5;
  double power = 2.0;  // 2 ellipsoid, more is boxier
};
struct Lighting {
  double from_x = -0.6;  // direction toward the light
  double from_y = -0.5;
  double from_z = 0.7;
  double fill = 0.22;
  double wrap = 0.25;  // softness of the window
};
struct Body {
  cv::Rect box;    // of the canvas; the pictures below have its size
  cv::Mat height;  // toward the camera; very low where there is nothing
  cv::Mat albedo;
  cv::Mat mask;  // 0..1
};
[[nodiscard]] Body body_of(const Canvas& canvas, const std::vector<Lump>& lumps, double blend);
// Lays the shaded body over the canvas.
void lay_body(Canvas& canvas, const Body& body, const cv::Mat& mask, const cv::Mat& tone);
// Luminance of the shaded body: albedo x light, with a little shade in its hollows.
[[nodiscard]] cv::Mat shaded(const Canvas& canvas, const Body& body, const Lighting& lighting);

// tone x 10^(strength noise)
void texture(cv::Mat& tone, const cv::Mat& noise, double strength);

[[nodiscard]] Canvas portrait(cv::Size size, Dice dice, bool dark_backdrop);
[[nodiscard]] Canvas landscape(cv::Size size, Dice dice, bool white_sky);
[[nodiscard]] Canvas still_life(cv::Size size, Dice dice);
[[nodiscard]] Canvas facade(cv::Size size, Dice dice);
[[nodiscard]] Canvas dark_interior(cv::Size size, Dice dice);

// Foliage and branches, shared by outdoor scenes.
void draw_tree(Canvas& canvas, Point foot, double height, double trunk, double tone, double leaf_share,
               Dice& dice);
void draw_leaves(Canvas& canvas, Point centre, double radius, double leaf, double tone, int count,
                 Dice& dice);

}  // namespace platewise
