#include "accuracy/plate_faults.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

#include "accuracy/plate_faults_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout {
namespace {

constexpr double kApertureMm = 5.0 / 12.0;
constexpr double kStrong = 0.9;  // quantile of the contrast within an outline that stands for the fault

cv::Mat density_of(const Canvas& canvas, const cv::Mat& silver, const cv::Mat& film) {
  const cv::Mat coated = canvas.positive ? cv::Mat(cv::max(canvas.bare_light_density - silver, 0.2))
                                         : cv::Mat(canvas.bare_light_density + silver);
  return canvas.bare_light_density + (coated - canvas.bare_light_density).mul(film);
}

cv::Mat after_aperture(const Canvas& canvas, const cv::Mat& image) {
  const int side = std::max(1, static_cast<int>(std::lround(kApertureMm * canvas.px_per_mm)));
  cv::Mat out;
  cv::blur(image, out, {side, side}, {-1, -1}, cv::BORDER_REPLICATE);
  return out;
}

// Of the change inside a shape: contrast and its ratio to the noise there.
struct Seen {
  double contrast = 0.0;
  double cnr = 0.0;
};

Seen seen_in(const Canvas& canvas, const std::vector<Polygon>& parts_mm, const cv::Mat& change,
             const cv::Mat& before, const NoiseModel& noise) {
  const cv::Rect box = box_px(canvas, parts_mm);
  if (box.empty()) return {};
  const cv::Mat mask = filled_px(canvas, parts_mm, box);
  std::vector<float> contrasts;
  double sigma = 0.0;
  for (int y = 0; y < box.height; ++y)
    for (int x = 0; x < box.width; ++x) {
      if (mask.at<std::uint8_t>(y, x) == 0 || canvas.plate.at<float>(box.y + y, box.x + x) < 0.9F) continue;
      contrasts.push_back(std::abs(change.at<float>(box.y + y, box.x + x)));
      const double density = before.at<float>(box.y + y, box.x + x);
      sigma += noise.at(std::abs(density - canvas.bare_light_density), density);
    }
  if (contrasts.empty()) return {};
  sigma /= static_cast<double>(contrasts.size());
  const auto wanted = static_cast<std::ptrdiff_t>(kStrong * static_cast<double>(contrasts.size() - 1));
  std::nth_element(contrasts.begin(), contrasts.begin() + wanted, contrasts.end());
  const double contrast = contrasts[static_cast<std::size_t>(wanted)];
  return {contrast, contrast / std::max(sigma, 1e-4)};
}

double median_cnr(const Canvas& canvas, const Stroke& stroke, const cv::Mat& change, const cv::Mat& before,
                  const NoiseModel& noise) {
  std::vector<double> all;
  for (const Shape& shape : stroke.shapes)
    all.push_back(seen_in(canvas, shape.parts_mm, change, before, noise).cnr);
  if (all.empty()) return 0.0;
  std::nth_element(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2), all.end());
  return all[all.size() / 2];
}

void apply(Canvas& canvas, const Stroke& stroke, double strength) {
  if (!stroke.silver_added.empty())
    canvas.silver = cv::max(canvas.silver + strength * stroke.silver_added, 0.0);
  if (!stroke.film_removed.empty()) canvas.film = canvas.film.mul(1.0 - stroke.film_removed);
}

// Of a mark larger than a speck, the part on the plate where the change can be seen at all: a third of its
// own contrast and the noise within two millimetres. Ridges over unexposed black are there but show nothing.
void keep_what_shows(const Canvas& canvas, TrueMark& mark, const cv::Mat& change) {
  constexpr double kReachMm = 2.0;
  constexpr double kLeastMm2 = 1.0;
  constexpr double kThird = 1.0 / 3.0;
  double all = 0.0;
  for (const Polygon& part : mark.parts_mm) all += area(part);
  if (all < 10.0 * kLeastMm2) return;
  const double noise_there = mark.contrast / std::max(mark.cnr, 1e-6);
  const double least = std::max(kThird * mark.contrast, std::min(noise_there, 0.8 * mark.contrast));
  const int reach = 2 * static_cast<int>(kReachMm * canvas.px_per_mm) + 1;
  const cv::Mat shows = (cv::abs(change) > least) & (canvas.plate > 0.5);
  cv::Mat near;
  cv::morphologyEx(shows, near, cv::MORPH_CLOSE, cv::Mat::ones(reach, reach, CV_8UC1), {-1, -1}, 1,
                   cv::BORDER_CONSTANT, cv::Scalar(0));
  const cv::Mat whole = filled_px(canvas, mark.parts_mm, cv::Rect({}, canvas.size()));
  cv::Mat share;
  cv::Mat(near & whole).convertTo(share, CV_32F, 1.0 / 255.0);
  mark.parts_mm = outlines_above(canvas, share, 0.5, kLeastMm2);
}

std::vector<TrueMark> drawn(Canvas& canvas, const Stroke& stroke, const WantedFault& wanted,
                            const NoiseModel& noise) {
  const cv::Mat before = after_aperture(canvas, density_of(canvas, canvas.silver, canvas.film));
  const auto change_at = [&](double strength) {
    Canvas tried = canvas;
    tried.silver = canvas.silver.clone();
    tried.film = canvas.film.clone();
    apply(tried, stroke, strength);
    return cv::Mat(after_aperture(canvas, density_of(canvas, tried.silver, tried.film)) - before);
  };
  double strength = 1.0;
  cv::Mat change = change_at(strength);
  if (stroke.film_removed.empty()) {
    const double full = median_cnr(canvas, stroke, change, before, noise);
    strength = std::min(1.0, wanted.cnr / std::max(full, 1e-6));
    change = change_at(strength);
  }
  std::vector<TrueMark> marks;
  for (const Shape& shape : stroke.shapes) {
    const Seen seen = seen_in(canvas, shape.parts_mm, change, before, noise);
    TrueMark mark{std::string(wanted.id), shape.parts_mm, shape.length_mm, shape.width_mm,
                  shape.angle_deg,        seen.contrast,  seen.cnr};
    keep_what_shows(canvas, mark, change);
    marks.push_back(std::move(mark));
  }
  apply(canvas, stroke, strength);
  return marks;
}

}  // namespace

Point Canvas::corner_mm(int index) const {
  return {index == 1 || index == 2 ? width_mm : 0.0, index >= 2 ? height_mm : 0.0};
}

double NoiseModel::at(double silver, double density) const {
  const double grain = aperture_share * (floor_sigma + silver_sigma * std::sqrt(std::max(silver, 0.0)));
  const double recording = light_sigma * std::pow(10.0, density) / std::log(10.0);
  return std::hypot(grain, recording);
}

const std::vector<NamedBrush>& brushes() {
  static const std::vector<NamedBrush> kBrushes{{"uncovered_corner", brush::uncovered_corner},
                                                {"tear_hole", brush::tear_hole},
                                                {"pinhole", brush::pinholes},
                                                {"dust_speck", brush::dust},
                                                {"comet", brush::comets},
                                                {"pour_ridges", brush::pour_ridges},
                                                {"dip_streaks", brush::dip_streaks},
                                                {"stall_line", brush::stall_line},
                                                {"light_leak", brush::light_leak},
                                                {"oyster_stain", brush::oyster_stain},
                                                {"frilling", brush::frilling},
                                                {"scratch", brush::scratches},
                                                {"bath_halt_line", brush::bath_halt_line},
                                                {"edge_stain", brush::edge_stain},
                                                {"curtain_marks", brush::curtain_marks},
                                                {"dry_edge", brush::dry_edge},
                                                {"veil", brush::veil},
                                                {"crapy_lines", brush::crapy_lines},
                                                {"fingerprint", brush::fingerprint},
                                                {"uneven_film", brush::uneven_film}};
  return kBrushes;
}

void measure_marks(std::vector<TrueMark>& marks, const Canvas& canvas, const cv::Mat& before,
                   const cv::Mat& after, const NoiseModel& noise) {
  const cv::Mat level = after_aperture(canvas, before);
  const cv::Mat change = after_aperture(canvas, after) - level;
  for (TrueMark& mark : marks) {
    const Seen seen = seen_in(canvas, mark.parts_mm, change, level, noise);
    mark.contrast = seen.contrast;
    mark.cnr = seen.cnr;
  }
}

std::vector<TrueMark> draw_faults(Random& random, Canvas& canvas, const NoiseModel& noise,
                                  const std::vector<WantedFault>& wanted) {
  std::vector<TrueMark> marks;
  for (const WantedFault& fault : wanted) {
    const auto& all = brushes();
    const auto brush =
        std::find_if(all.begin(), all.end(), [&](const NamedBrush& one) { return one.id == fault.id; });
    if (brush == all.end()) throw std::runtime_error("no brush draws " + std::string(fault.id));
    Random own = random.fork();
    for (TrueMark& mark : drawn(canvas, brush->draw(own, canvas), fault, noise))
      marks.push_back(std::move(mark));
  }
  return marks;
}

}  // namespace platewise::heldout
