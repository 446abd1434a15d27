#include "platewise/present/overlay.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "fault_groups.h"
#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

const cv::Scalar kFilmEdge(255, 190, 0);
const cv::Scalar kPictureEdge(0, 200, 255);
const cv::Scalar kGlare(255, 0, 160);
const cv::Scalar kFault(255, 60, 40);

double display_scale(const PlateScore& score, int long_side_px) {
  const DensityImage& plate = score.density->image;
  return std::min(1.0, static_cast<double>(long_side_px) / std::max(plate.rows(), plate.cols()));
}

void draw_edge(cv::Mat& picture, const Mask& mask, const cv::Scalar& colour) {
  if (mask.empty()) return;
  cv::Mat shrunk;
  cv::resize(mask.inside, shrunk, picture.size(), 0, 0, cv::INTER_AREA);
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(shrunk > 127, outlines, cv::RETR_LIST, cv::CHAIN_APPROX_SIMPLE);
  cv::drawContours(picture, outlines, -1, colour, 1, cv::LINE_AA);
}

std::vector<cv::Point> pixels(const Polygon& outline_units, double px_per_unit) {
  std::vector<cv::Point> points;
  for (const Point& p : outline_units) {
    points.emplace_back(static_cast<int>(std::lround(p.x * px_per_unit)),
                        static_cast<int>(std::lround(p.y * px_per_unit)));
  }
  return points;
}

void draw_numbered(cv::Mat& picture, const Fault& fault, std::size_t number, double px_per_unit) {
  const std::vector<cv::Point> outline = pixels(fault.outline_units, px_per_unit);
  if (!outline.empty()) cv::polylines(picture, outline, true, kFault, 2, cv::LINE_AA);
  const Point at = px_per_unit * fault.box_origin;
  cv::putText(picture, fmt::format("{}", number),
              {static_cast<int>(at.x), std::max(12, static_cast<int>(at.y) - 3)}, cv::FONT_HERSHEY_SIMPLEX,
              0.5, kFault, 1, cv::LINE_AA);
}

// Kinds shown as one: a small mark for each fault, of another shape for another kind.
void draw_dots(cv::Mat& picture, const PlateScore& score, const FaultGroup& group, std::size_t kind,
               double px_per_unit) {
  constexpr std::array kShapes{cv::MARKER_DIAMOND, cv::MARKER_SQUARE, cv::MARKER_TRIANGLE_UP};
  constexpr int kDotPx = 9;
  for (const std::size_t member : group.members) {
    const Fault& fault = score.faults.found[member];
    const Point middle = px_per_unit * (fault.box_origin + Point{fault.box_width / 2, fault.box_height / 2});
    cv::drawMarker(picture, {static_cast<int>(middle.x), static_cast<int>(middle.y)}, kFault,
                   kShapes.at(kind % kShapes.size()), kDotPx, 1, cv::LINE_AA);
  }
}

void draw_faults(cv::Mat& picture, const PlateScore& score, double px_per_unit) {
  std::size_t kind = 0;
  for (const FaultGroup& group : fault_groups(score)) {
    if (group.shown_as_one()) {
      draw_dots(picture, score, group, kind++, px_per_unit);
      continue;
    }
    for (const std::size_t member : group.members) {
      draw_numbered(picture, score.faults.found[member], member + 1, px_per_unit);
    }
  }
}

}  // namespace

ColourPicture plate_picture(const PlateScore& score, int long_side_px) {
  if (!score.density) return {};
  const cv::Mat& density = score.density->image.density;
  const double offset = score.density->offset.value;
  cv::Mat linear(density.size(), CV_32FC1);
  for (int y = 0; y < density.rows; ++y) {
    for (int x = 0; x < density.cols; ++x) {
      const float d = density.at<float>(y, x);
      linear.at<float>(y, x) = std::isfinite(d) ? std::pow(10.0F, static_cast<float>(offset) - d) : 0.0F;
    }
  }
  return display_picture(linear, long_side_px);
}

ColourPicture plate_overlay(const PlateScore& score, int long_side_px) {
  ColourPicture picture = plate_picture(score, long_side_px);
  if (picture.empty()) return picture;
  const double px_per_unit = score.density->image.px_per_unit * display_scale(score, long_side_px);
  if (score.regions) {
    draw_edge(picture.rgb, score.regions->film, kFilmEdge);
    draw_edge(picture.rgb, score.regions->glare, kGlare);
    if (const auto& area = score.regions->image_area_units) {
      cv::polylines(picture.rgb, pixels(*area, px_per_unit), true, kPictureEdge, 2, cv::LINE_AA);
    }
  }
  draw_faults(picture.rgb, score, px_per_unit);
  return picture;
}

ColourPicture scan_overlay(const PlateScore& score) {
  ColourPicture picture{score.scan_picture.rgb.clone()};
  if (picture.empty() || !score.outline.found) return picture;
  const double scale = static_cast<double>(picture.rgb.cols) / score.scan.width_px;
  std::vector<cv::Point> corners;
  for (const Point& corner : score.outline.corners_px) {
    corners.emplace_back(static_cast<int>(std::lround(scale * corner.x)),
                         static_cast<int>(std::lround(scale * corner.y)));
  }
  cv::polylines(picture.rgb, corners, true, kFault, 2, cv::LINE_AA);
  cv::circle(picture.rgb, corners.front(), 6, kFault, cv::FILLED,
             cv::LINE_AA);  // the upright plate's top left
  return picture;
}

ColourPicture score_overlay(const PlateScore& score, int plate_long_side_px) {
  const ColourPicture scan = scan_overlay(score);
  const ColourPicture plate = plate_overlay(score, plate_long_side_px);
  if (plate.empty() || scan.empty()) return plate.empty() ? scan : plate;
  constexpr int kGapPx = 12;
  cv::Mat both(std::max(scan.rgb.rows, plate.rgb.rows), scan.rgb.cols + kGapPx + plate.rgb.cols, CV_8UC3,
               cv::Scalar::all(60));
  scan.rgb.copyTo(both({0, 0, scan.rgb.cols, scan.rgb.rows}));
  plate.rgb.copyTo(both({scan.rgb.cols + kGapPx, 0, plate.rgb.cols, plate.rgb.rows}));
  return {both};
}

}  // namespace platewise
