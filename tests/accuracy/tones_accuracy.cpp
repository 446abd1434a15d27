#include "accuracy/tones_accuracy.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"

namespace platewise::accuracy {
namespace {

constexpr const char* kRows[] = {
    "support, seen",     "support, assumed",     "margin",     "floor", "mid-tone",         "highlight",
    "fog, support seen", "fog, support assumed", "margin fog", "range", "floor over margin"};

double overlap(const cv::Mat& a, const cv::Mat& b) {
  const int either = cv::countNonZero(a | b);
  return either > 0 ? cv::countNonZero(a & b) / static_cast<double>(either) : 1.0;
}

cv::Mat filled(const Polygon& outline_units, const DensityImage& image) {
  std::vector<cv::Point> points;
  for (const Point p : outline_units)
    points.emplace_back(static_cast<int>(p.x * image.px_per_unit), static_cast<int>(p.y * image.px_per_unit));
  cv::Mat mask = cv::Mat::zeros(image.rows(), image.cols(), CV_8UC1);
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255));
  return mask;
}

cv::Mat shrunk(const cv::Mat& mask, int px) {
  cv::Mat out;
  cv::erode(mask, out, cv::Mat::ones(2 * px + 1, 2 * px + 1, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  return out;
}

}  // namespace

cv::Mat in_plate_frame(const cv::Mat& scan_mask, const PlateOutline& outline, const DensityImage& image) {
  Homography units_from_px;
  units_from_px.matrix.diagonal() << 1.0 / image.px_per_unit, 1.0 / image.px_per_unit, 1.0;
  Homography scan_from_px;
  scan_from_px.matrix = outline.scan_from_plate().matrix * units_from_px.matrix;
  cv::Mat share;
  scan_mask.convertTo(share, CV_32F, 1.0 / 255.0);
  return cv::Mat(resampled(share, scan_from_px, image.cols(), image.rows()) > 0.5);
}

Regions true_regions(const heldout::Truth& truth, const PlateOutline& outline, const DensityImage& image) {
  const auto look = [&](const cv::Mat& mask) { return in_plate_frame(mask, outline, image); };
  Regions regions;
  regions.plate.inside = look(truth.plate);
  regions.film.inside = look(truth.film);
  regions.glare.inside = look(truth.glare);
  constexpr int kSoftEdgePx = 4;
  regions.picture.inside = shrunk(look(truth.picture), kSoftEdgePx) & ~regions.glare.inside;
  regions.rim.inside = shrunk(look(truth.film & ~truth.picture), kSoftEdgePx);
  regions.bare.inside = truth.support_seen ? shrunk(look(truth.plate & ~truth.film), kSoftEdgePx)
                                           : cv::Mat(cv::Mat::zeros(image.density.size(), CV_8UC1));
  if (!truth.has_rim) regions.rim.inside.setTo(0);
  regions.covered_fraction = truth.covered_fraction;
  regions.grain_density = pixel_noise(image.density, regions.picture);
  return regions;
}

Errors& TonesAccuracy::row(const std::string& name) {
  const auto at = std::find_if(rows_.begin(), rows_.end(), [&](const Row& row) { return row.name == name; });
  if (at != rows_.end()) return at->errors;
  rows_.push_back({name, {}});
  return rows_.back().errors;
}

const Errors& TonesAccuracy::row(const std::string& name) const {
  static const Errors kNone;
  const auto at = std::find_if(rows_.begin(), rows_.end(), [&](const Row& row) { return row.name == name; });
  return at != rows_.end() ? at->errors : kNone;
}

void TonesAccuracy::add(const Tones& tones, const heldout::Truth& truth) {
  row(tones.support_seen ? "support, seen" : "support, assumed").add(truth.support, tones.support_density);
  row(tones.support_seen ? "fog, support seen" : "fog, support assumed").add(truth.fog, tones.fog);
  row("floor").add(truth.floor, tones.floor_density);
  row("mid-tone").add(truth.midtone, tones.midtone_density);
  row("highlight").add(truth.highlight, tones.highlight_density);
  row("range").add(truth.range, tones.range);
  if (!truth.has_rim) return;
  row("margin").add(*truth.margin, tones.margin_density);
  row("floor over margin").add(*truth.floor_over_margin, tones.floor_over_margin);
  if (tones.support_seen) row("margin fog").add(std::abs(truth.support - *truth.margin), tones.margin_fog);
}

void TonesAccuracy::print(std::ostream& out, const std::string& title) const {
  Errors::print_head(out, title);
  for (const char* name : kRows) row(name).print(out, name);
}

void RegionsAccuracy::add(const Regions& regions, const PlateDensity& plate, const PlateOutline& outline,
                          const heldout::Truth& truth) {
  ++plates_;
  covered_errors_.push_back(regions.covered_fraction - truth.covered_fraction);
  const cv::Mat true_picture = in_plate_frame(truth.picture & ~truth.glare, outline, plate.image);
  picture_overlap_.push_back(overlap(regions.picture.inside, true_picture));
  const bool seen = regions.image_area_units.has_value();
  ++(truth.has_rim ? rims_ : rimless_);
  if (seen) ++(truth.has_rim ? rims_seen_ : rims_made_up_);
  if (seen && truth.has_rim) {
    cv::Mat opening = in_plate_frame(truth.picture, outline, plate.image);
    cv::morphologyEx(opening, opening, cv::MORPH_CLOSE, cv::Mat::ones(15, 15, CV_8UC1));
    outline_overlap_.push_back(overlap(filled(*regions.image_area_units, plate.image), opening));
  }
  ++(truth.support_seen ? bare_ : coated_);
  if (!regions.bare.empty() && cv::countNonZero(regions.bare.inside) > 0)
    ++(truth.support_seen ? bare_seen_ : bare_made_up_);
}

void RegionsAccuracy::print(std::ostream& out, const std::string& title) const {
  out << '\n' << title << '\n';
  std::vector<double> sizes;
  for (const double error : covered_errors_) sizes.push_back(std::abs(error));
  const auto line = [&](const std::string& what, const std::vector<double>& values) {
    out << fmt::format("  {:<44}{:>5}   worst tenth {:.3f}   median {:.3f}   best tenth {:.3f}\n", what,
                       values.size(), quantile(values, 0.1), quantile(values, 0.5), quantile(values, 0.9));
  };
  out << fmt::format("  {:<44}{:>5}   median {:.4f}   95 % {:.4f}   worst {:.4f}\n",
                     "covered fraction, size of error", sizes.size(), quantile(sizes, 0.5),
                     quantile(sizes, 0.95), quantile(sizes, 1.0));
  line("picture mask, overlap over union", picture_overlap_);
  line("image area, overlap over union", outline_overlap_);
  print_share(out, "rim there: image area given", rims_seen_, rims_);
  print_share(out, "no rim: image area made up", rims_made_up_, rimless_);
  print_share(out, "bare support there: seen", bare_seen_, bare_);
  print_share(out, "no bare support: made up", bare_made_up_, coated_);
}

}  // namespace platewise::accuracy
