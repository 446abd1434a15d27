#include "accuracy/camera.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {

Point Camera::px(Point mm) const {
  const Point flat = px_from_mm(mm) - centre_px;
  const double r = std::hypot(flat.x, flat.y) / radius_px;
  return centre_px + (1.0 + distortion * r * r) * flat;
}

Point Camera::mm(Point px) const {
  const Point bent = px - centre_px;
  Point flat = bent;
  // Fixed point: the distortion is a few percent, so five rounds reach a thousandth of a pixel.
  for (int i = 0; i < 5 && distortion != 0.0; ++i) {
    const double r = std::hypot(flat.x, flat.y) / radius_px;
    flat = (1.0 / (1.0 + distortion * r * r)) * bent;
  }
  return px_from_mm.inverse()(centre_px + flat);
}

Camera scanner_view(double px_per_mm, double turn_deg, Point plate_centre_mm, Point centre_px,
                    double stretch) {
  const double turn = turn_deg * std::numbers::pi / 180.0;
  Eigen::Matrix3d to_centre = Eigen::Matrix3d::Identity();
  to_centre(0, 2) = -plate_centre_mm.x;
  to_centre(1, 2) = -plate_centre_mm.y;
  Eigen::Matrix3d place = Eigen::Matrix3d::Identity();
  place << std::cos(turn), -std::sin(turn), 0, std::sin(turn), std::cos(turn), 0, 0, 0, 1;
  place = Eigen::Vector3d(px_per_mm * stretch, px_per_mm, 1.0).asDiagonal() * place;
  place(0, 2) = centre_px.x;
  place(1, 2) = centre_px.y;
  Camera camera;
  camera.px_from_mm.matrix = place * to_centre;
  return camera;
}

Camera hand_held_view(Random& random, cv::Size picture, Point plate_mm, double fill) {
  const double degree = std::numbers::pi / 180.0;
  const double tilt_x = random.normal(0.0, 9.0) * degree;
  const double tilt_y = random.normal(0.0, 9.0) * degree;
  const double turn = random.normal(0.0, 6.0) * degree;
  const double long_side = std::max(plate_mm.x, plate_mm.y);
  const double focal = random.uniform(0.75, 1.6) * std::max(picture.width, picture.height);
  const double across = plate_mm.x > plate_mm.y ? picture.width : picture.height;
  const double far = focal * long_side / (fill * across);
  const Eigen::Matrix3d rotation = (Eigen::AngleAxisd(tilt_x, Eigen::Vector3d::UnitX()) *
                                    Eigen::AngleAxisd(tilt_y, Eigen::Vector3d::UnitY()) *
                                    Eigen::AngleAxisd(turn, Eigen::Vector3d::UnitZ()))
                                       .toRotationMatrix();
  Eigen::Matrix3d plane;  // (x, y, 1) mm to camera space
  plane.col(0) = rotation.col(0);
  plane.col(1) = rotation.col(1);
  plane.col(2) =
      -rotation.col(0) * plate_mm.x / 2 - rotation.col(1) * plate_mm.y / 2 + Eigen::Vector3d(0, 0, far);
  Eigen::Matrix3d lens;
  lens << focal, 0, picture.width * random.uniform(0.46, 0.54), 0, focal,
      picture.height * random.uniform(0.46, 0.54), 0, 0, 1;
  Camera camera;
  camera.px_from_mm.matrix = lens * plane;
  camera.centre_px = {picture.width / 2.0, picture.height / 2.0};
  camera.radius_px = std::hypot(picture.width, picture.height) / 2.0;
  camera.distortion = random.uniform(-0.012, 0.008);
  return camera;
}

cv::Mat seen_mm(const Camera& camera, cv::Size picture) {
  // Every eighth pixel exactly, linear between: the map bends far more slowly than that.
  constexpr int kStep = 8;
  cv::Mat coarse(picture.height / kStep + 2, picture.width / kStep + 2, CV_32FC2);
  for (int y = 0; y < coarse.rows; ++y)
    for (int x = 0; x < coarse.cols; ++x) {
      const Point p = camera.mm({x * static_cast<double>(kStep), y * static_cast<double>(kStep)});
      coarse.at<cv::Vec2f>(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
    }
  cv::Mat row(picture, CV_32FC2);
  for (int y = 0; y < picture.height; ++y)
    for (int x = 0; x < picture.width; ++x) {
      const double u = (x + 0.5) / kStep;
      const double v = (y + 0.5) / kStep;
      const int i = static_cast<int>(u);
      const int j = static_cast<int>(v);
      const auto a = static_cast<float>(u - i);
      const auto b = static_cast<float>(v - j);
      row.at<cv::Vec2f>(y, x) =
          (1 - b) * ((1 - a) * coarse.at<cv::Vec2f>(j, i) + a * coarse.at<cv::Vec2f>(j, i + 1)) +
          b * ((1 - a) * coarse.at<cv::Vec2f>(j + 1, i) + a * coarse.at<cv::Vec2f>(j + 1, i + 1));
    }
  return row;
}

cv::Mat seen(const cv::Mat& raster, Point origin_mm, double px_per_mm, const cv::Mat& mm, int border) {
  const cv::Mat map = (mm - cv::Scalar(origin_mm.x, origin_mm.y)) * px_per_mm - cv::Scalar(0.5, 0.5);
  cv::Mat out;
  cv::remap(raster, out, map, cv::noArray(), cv::INTER_LINEAR, border);
  return out;
}

}  // namespace platewise::heldout
