#include "accuracy/development/true_marks.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise::development {
namespace {

using heldout::TrueMark;

constexpr double kJustNoticeable = 0.02;  // of log10 blue over green, in the lights
constexpr double kSliverMm = 2.0;         // half the width of what counts as a sliver along the film's edge

struct Layers {
  cv::Mat change;  // of density by the faults, after the aperture
  cv::Mat noise;   // measured less true, after the aperture, slow differences taken out
  double px_per_mm;
};

cv::Mat aperture_mean_of(const cv::Mat& picture, double mm, double px_per_mm) {
  const int side = std::max(1, static_cast<int>(std::lround(mm * px_per_mm)));
  cv::Mat mean;
  cv::blur(picture, mean, {side, side}, {-1, -1}, cv::BORDER_REPLICATE);
  return mean;
}

Layers layers_of(const PlateRendering& rendering, const cv::Mat& measured) {
  constexpr double kApertureMm = 5.0 / 12.0;
  constexpr double kSlowMm = 2.0;
  Layers layers;
  layers.px_per_mm = rendering.clean_density.px_per_unit;
  const auto known = [](const cv::Mat& m) {
    cv::Mat filled = m.clone();
    filled.setTo(0.0F, ~(cv::abs(m) < 1e3F));  // beyond the plate: NaN, or no light at all
    return filled;
  };
  const cv::Mat spoilt = known(rendering.spoilt_density.density);
  layers.change =
      aperture_mean_of(spoilt - known(rendering.clean_density.density), kApertureMm, layers.px_per_mm);
  cv::Mat same;
  cv::resize(known(measured), same, spoilt.size());
  const cv::Mat noise = aperture_mean_of(same - spoilt, kApertureMm, layers.px_per_mm);
  layers.noise = noise - aperture_mean_of(noise, kSlowMm, layers.px_per_mm);
  return layers;
}

double quantile_of(std::vector<float> values, double share) {
  if (values.empty()) return 0.0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

void measure(TrueMark& mark, const Layers& layers, double share) {
  std::vector<cv::Point> points;
  if (mark.parts_mm.front().empty()) {
    mark.ignored = true;
    return;
  }
  for (const Point p : mark.parts_mm.front())
    points.emplace_back(static_cast<int>(p.x * layers.px_per_mm), static_cast<int>(p.y * layers.px_per_mm));
  const cv::Rect box = cv::boundingRect(points);
  const int pad = static_cast<int>(2.0 * layers.px_per_mm);
  const cv::Rect window = cv::Rect(box.x - pad, box.y - pad, box.width + 2 * pad, box.height + 2 * pad) &
                          cv::Rect(0, 0, layers.change.cols, layers.change.rows);
  if (window.empty()) {
    mark.ignored = true;
    return;
  }
  cv::Mat inside = cv::Mat::zeros(window.size(), CV_8UC1);
  for (cv::Point& p : points) p -= window.tl();
  cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255));
  std::vector<float> changes;
  std::vector<float> noises;
  for (int y = 0; y < window.height; ++y)
    for (int x = 0; x < window.width; ++x) {
      const cv::Point at = window.tl() + cv::Point(x, y);
      if (inside.at<std::uint8_t>(y, x) != 0) changes.push_back(std::abs(layers.change.at<float>(at)));
      if (inside.at<std::uint8_t>(y, x) == 0) noises.push_back(std::abs(layers.noise.at<float>(at)));
    }
  mark.contrast = quantile_of(std::move(changes), share);
  mark.cnr = mark.contrast / std::max(1e-5, 1.4826 * quantile_of(std::move(noises), 0.5));
}

cv::Mat disc(double radius_px) {
  const int side = 2 * std::max(1, static_cast<int>(std::lround(radius_px))) + 1;
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side});
}

cv::Mat bare_corners(const PlateRendering& rendering) {
  const cv::Mat plate = rendering.clean_density.density == rendering.clean_density.density;
  const cv::Mat bare = plate & ~rendering.poured.inside;
  const double px_per_mm = rendering.clean_density.px_per_unit;
  const double radius = kSliverMm * px_per_mm;
  const int frame = static_cast<int>(std::ceil(2.0 * radius)) + 2;
  cv::Mat framed;  // beyond the plate counts as bare, else its corner would be cut off
  cv::copyMakeBorder(bare | ~plate, framed, frame, frame, frame, frame, cv::BORDER_CONSTANT, 255);
  // What is deep enough on the plate itself: slivers along the sides do not belong to the corner.
  cv::erode(framed, framed, disc(radius), {-1, -1}, 1, cv::BORDER_CONSTANT, 255);
  const int more = static_cast<int>(std::lround(radius));
  const cv::Rect within(frame + more, frame + more, bare.cols - 2 * more, bare.rows - 2 * more);
  cv::Mat deep = cv::Mat::zeros(framed.size(), CV_8UC1);
  framed(within).copyTo(deep(within));
  cv::dilate(deep, deep, disc(1.3 * radius));
  return bare & deep(cv::Rect({frame, frame}, bare.size()));
}

// How far bare support differs from the film just beyond: black support beside a black shadow can't be seen.
void measure_beside(TrueMark& mark, const std::vector<cv::Point>& outline, const PlateRendering& rendering,
                    const Layers& layers) {
  constexpr double kBesideMm = 1.5;
  const cv::Mat& density = rendering.spoilt_density.density;
  cv::Mat inside = cv::Mat::zeros(density.size(), CV_8UC1);
  cv::drawContours(inside, std::vector<std::vector<cv::Point>>{outline}, 0, cv::Scalar(255), cv::FILLED);
  cv::Mat beside;
  cv::dilate(inside, beside, disc(kBesideMm * layers.px_per_mm));
  beside &= rendering.poured.inside;
  inside &= ~rendering.poured.inside & (density == density);
  std::vector<float> values;
  std::vector<float> bare;
  std::vector<float> noises;
  for (int y = 0; y < density.rows; ++y)
    for (int x = 0; x < density.cols; ++x) {
      if (inside.at<std::uint8_t>(y, x) != 0) bare.push_back(density.at<float>(y, x));
      if (beside.at<std::uint8_t>(y, x) == 0) continue;
      values.push_back(density.at<float>(y, x));
      noises.push_back(std::abs(layers.noise.at<float>(y, x)));
    }
  mark.contrast = std::abs(quantile_of(std::move(bare), 0.5) - quantile_of(std::move(values), 0.5));
  mark.cnr = mark.contrast / std::max(1e-5, 1.4826 * quantile_of(std::move(noises), 0.5));
}

void add_bare_corners(std::vector<TrueMark>& marks, const PlateRendering& rendering, const Layers& layers) {
  const double px_per_mm = rendering.clean_density.px_per_unit;
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(bare_corners(rendering), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  constexpr double kLeastMm2 = 8.0;
  for (const auto& outline : outlines) {
    if (cv::contourArea(outline) < kLeastMm2 * px_per_mm * px_per_mm) continue;
    TrueMark mark;
    mark.id = "uncovered_corner";
    mark.parts_mm.emplace_back();
    for (const cv::Point p : outline) mark.parts_mm[0].push_back({p.x / px_per_mm, p.y / px_per_mm});
    const cv::Rect box = cv::boundingRect(outline);
    mark.length_mm = std::max(box.width, box.height) / px_per_mm;
    mark.width_mm = std::min(box.width, box.height) / px_per_mm;
    measure_beside(mark, outline, rendering, layers);
    marks.push_back(std::move(mark));
  }
}

bool is_group(const TrueFault& fault) {
  return fault.id == "pinhole" || fault.id == "dust_speck";
}

}  // namespace

std::vector<TrueMark> true_marks(const PlateRendering& rendering, const cv::Mat& measured,
                                 bool with_bare_corners) {
  const Layers layers = layers_of(rendering, measured);
  std::vector<TrueMark> marks;
  constexpr double kPlainest = 0.9;
  for (const TrueFault& fault : rendering.truth.faults) {
    if (is_group(fault) || fault.outline_mm.empty()) continue;
    TrueMark mark{fault.id, {fault.outline_mm}};
    mark.parts_mm.insert(mark.parts_mm.end(), fault.other_parts_mm.begin(), fault.other_parts_mm.end());
    mark.length_mm = fault.length_mm.value_or(std::max(fault.box_width_mm, fault.box_height_mm));
    mark.width_mm = fault.width_mm.value_or(std::min(fault.box_width_mm, fault.box_height_mm));
    mark.angle_deg = fault.angle_deg.value_or(0.0);
    measure(mark, layers, kPlainest);
    if (fault.colour_contrast > 0.0) {
      if (!rendering.truth.device.colour) continue;  // nothing of it can be seen
      mark.contrast = fault.colour_contrast;
      mark.cnr = fault.colour_contrast / kJustNoticeable;
    }
    marks.push_back(std::move(mark));
  }
  for (const TrueSpeck& speck : rendering.truth.specks) {
    TrueMark mark{speck.id, {speck.outline_mm}, speck.length_mm, speck.length_mm};
    measure(mark, layers, 1.0);
    marks.push_back(std::move(mark));
  }
  if (with_bare_corners) add_bare_corners(marks, rendering, layers);
  return marks;
}

cv::Mat never_coated(const PlateRendering& rendering, double border_mm, bool with_bare_corners) {
  cv::Mat bare = ~rendering.poured.inside;
  if (with_bare_corners) bare &= ~bare_corners(rendering);
  cv::Mat framed;
  const int border = static_cast<int>(std::lround(border_mm * rendering.clean_density.px_per_unit));
  cv::copyMakeBorder(bare, framed, border, border, border, border, cv::BORDER_CONSTANT, 255);
  return framed;
}

}  // namespace platewise::development
