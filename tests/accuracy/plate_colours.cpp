#include "accuracy/plate_colours.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <opencv2/imgproc.hpp>

#include "accuracy/lab.h"
#include "accuracy/plate_colours_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout {
namespace {

constexpr double kJustNoticeable = 2.3;  // in CIELAB

// How one colour fault is painted at a strength in CIELAB.
struct Painting {
  cv::Mat share;
  std::function<void(cv::Mat& light, double strength)> paint;
  double closed_mm = 2.0;
};

Painting iron_stain(Random& random, const Canvas& canvas, bool iron) {
  Painting out;
  const bool rust = iron && random.chance(0.35);
  out.share = rust ? rust_spots(random, canvas)
                   : (random.chance(0.5) ? wash_run(random, canvas) : stain_clouds(random, canvas));
  const cv::Vec3d step = rust ? lab_step(-0.5, random.uniform(50.0, 75.0), 1.0)
                              : lab_step(random.uniform(-0.4, 0.1), random.uniform(170.0, 265.0), 1.0);
  const cv::Mat share = out.share;
  out.paint = [share, step](cv::Mat& light, double strength) { shift_lab(light, share, strength * step); };
  return out;
}

Painting underfix_veil(Random& random, const Canvas& canvas) {
  Painting out;
  out.share = short_of_fixer(random, canvas);
  const cv::Mat share = out.share;
  if (!canvas.positive) {  // what is left is yellow in the light that goes through
    const cv::Vec3d step = lab_step(-0.2, random.uniform(84.0, 100.0), 1.0);
    out.paint = [share, step](cv::Mat& light, double strength) { shift_lab(light, share, strength * step); };
    return out;
  }
  // A milky layer over the black: it sends back its own light and covers a little of what lies below.
  const cv::Vec3d milk = rgb_of_lab(lab_step(0.0, random.uniform(82.0, 98.0), random.uniform(22.0, 40.0)) +
                                    cv::Vec3d(88.0, 0.0, 0.0));
  out.paint = [share, milk](cv::Mat& light, double strength) {
    recolour(light, share, [&](const cv::Vec3d& rgb, double here) {
      const double cover = std::min(0.5, 0.0025 * strength * std::max(here, 0.0));
      return rgb * (1.0 - cover) + milk * cover;
    });
  };
  return out;
}

// Where the plate is brightest it turns steely, and darker toward the middle of what is bright.
Painting solarised_blue(Random& random, const Canvas& canvas, const cv::Mat& light) {
  Painting out;
  cv::Mat bright = luminance_of(light);
  if (!canvas.positive) bright = -bright;
  cv::GaussianBlur(bright, bright, {}, 0.15 * canvas.px_per_mm);
  const double share = random.uniform(0.86, 0.96);
  const double low = quantile_of_picture(canvas, bright, share - 0.04);
  const double high = quantile_of_picture(canvas, bright, share + 0.02);
  out.share = cv::Mat(canvas.size(), CV_32FC1);
  for (int y = 0; y < bright.rows; ++y)
    for (int x = 0; x < bright.cols; ++x)
      out.share.at<float>(y, x) =
          static_cast<float>(ramp(low, std::max(high, low + 1e-4), bright.at<float>(y, x)));
  cv::Mat deep;
  cv::GaussianBlur(out.share, deep, {}, 1.2 * canvas.px_per_mm);
  out.share = out.share.mul(0.5 + 0.5 * deep);
  const cv::Vec3d step = lab_step(-random.uniform(0.1, 0.6), random.uniform(240.0, 285.0), 1.0);
  const cv::Mat where = out.share;
  out.paint = [where, step](cv::Mat& picture, double strength) {
    shift_lab(picture, where, strength * step);
  };
  out.closed_mm = 0.8;
  return out;
}

// CIELAB difference in the plate's film, after the working aperture.
cv::Mat difference(const Canvas& canvas, const cv::Mat& before, const cv::Mat& after) {
  cv::Mat out(before.size(), CV_32FC1);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x)
      out.at<float>(y, x) = static_cast<float>(cv::norm(lab_of(cv::Vec3d(after.at<cv::Vec3f>(y, x))) -
                                                        lab_of(cv::Vec3d(before.at<cv::Vec3f>(y, x)))));
  const int side = std::max(1, static_cast<int>(std::lround(5.0 / 12.0 * canvas.px_per_mm)));
  cv::blur(out, out, {side, side});
  return out.mul(canvas.film).mul(canvas.plate);
}

float plainest(const cv::Mat& change) {
  constexpr float kThere = 0.05F;
  std::vector<float> all;
  double most = 0.0;
  cv::minMaxLoc(change, nullptr, &most);
  for (int y = 0; y < change.rows; y += 2)
    for (int x = 0; x < change.cols; x += 2)
      if (change.at<float>(y, x) > kThere * most) all.push_back(change.at<float>(y, x));
  if (all.empty()) return 0.0F;
  const auto at = all.begin() + static_cast<std::ptrdiff_t>(0.9 * static_cast<double>(all.size() - 1));
  std::nth_element(all.begin(), at, all.end());
  return *at;
}

Painting painted_by(Random& random, const Canvas& canvas, const cv::Mat& light, std::string_view id,
                    bool iron) {
  if (id == "iron_stain") return iron_stain(random, canvas, iron);
  if (id == "underfix_veil") return underfix_veil(random, canvas);
  return solarised_blue(random, canvas, light);
}

TrueMark mark_of(const Canvas& canvas, const WantedFault& wanted, const cv::Mat& change, double closed_mm) {
  TrueMark mark;
  mark.id = wanted.id;
  mark.contrast = plainest(change);
  mark.cnr = mark.contrast / kJustNoticeable;
  const int reach = 2 * static_cast<int>(closed_mm * canvas.px_per_mm / 2.0) + 1;
  cv::Mat shows = change > mark.contrast / 3.0;
  cv::morphologyEx(shows, shows, cv::MORPH_CLOSE,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {reach, reach}), {-1, -1}, 1,
                   cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::Mat share;
  shows.convertTo(share, CV_32F, 1.0 / 255.0);
  constexpr double kLeastMm2 = 4.0;
  mark.parts_mm = outlines_above(canvas, share, 0.5, kLeastMm2);
  double most = 0.0;
  for (const Polygon& part : mark.parts_mm) most = std::max(most, area(part));
  mark.length_mm = mark.width_mm = std::sqrt(most);
  return mark;
}

}  // namespace

bool is_colour_fault(std::string_view id) {
  return std::find(std::begin(kColourFaults), std::end(kColourFaults), id) != std::end(kColourFaults);
}

std::vector<TrueMark> draw_colour_faults(Random& random, const Canvas& canvas, cv::Mat& light,
                                         const Colours& colours) {
  std::vector<TrueMark> marks;
  for (const WantedFault& fault : colours.faults) {
    const Painting painting = painted_by(random, canvas, light, fault.id, colours.iron);
    const double asked = kJustNoticeable * fault.cnr;
    cv::Mat painted = light.clone();
    painting.paint(painted, asked);
    double strength = asked;
    if (const float reached = plainest(difference(canvas, light, painted)); reached > 0.0F) {
      strength *= asked / static_cast<double>(reached);
      painted = light.clone();
      painting.paint(painted, strength);
    }
    marks.push_back(mark_of(canvas, fault, difference(canvas, light, painted), painting.closed_mm));
    light = painted;
  }
  return marks;
}

}  // namespace platewise::heldout
