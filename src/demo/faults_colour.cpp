#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Faults that a scan shows by their colour: stains take light out of the channels by Beer's law, milky
// remains send light of their own back. Looks from handbook/faults.csv, colours common practice, no source.

cv::Mat& stain_of(PlateLayers& layers) {
  if (layers.stain.empty()) layers.stain = cv::Mat(layers.frame.size(), CV_32FC3, cv::Scalar::all(0));
  return layers.stain;
}

cv::Mat& milk_of(PlateLayers& layers) {
  if (layers.milk.empty()) layers.milk = cv::Mat(layers.frame.size(), CV_32FC1, cv::Scalar(0));
  return layers.milk;
}

// A dye as density of red, green and blue, its largest difference to green 1.
using Dye = cv::Vec3f;

void add_stain(PlateLayers& layers, const cv::Mat& share, const Dye& dye) {
  cv::Mat& stain = stain_of(layers);
  for (int y = 0; y < share.rows; ++y)
    for (int x = 0; x < share.cols; ++x) stain.at<cv::Vec3f>(y, x) += share.at<float>(y, x) * dye;
}

// The outlines of where `share` is plain, the largest first.
void outline_of(TrueFault& truth, PlateLayers& layers, const cv::Mat& share, double level) {
  cv::Mat plain = (share > level) & (layers.plate > 0.5F) & (layers.film > 0.5F);
  const int reach = 2 * static_cast<int>(1.0 * layers.frame.px_per_mm) + 1;
  cv::morphologyEx(plain, plain, cv::MORPH_CLOSE, cv::Mat::ones(reach, reach, CV_8UC1));
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(plain, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  std::sort(outlines.begin(), outlines.end(),
            [](const auto& a, const auto& b) { return cv::contourArea(a) > cv::contourArea(b); });
  for (const auto& outline : outlines) {
    constexpr double kLeastMm2 = 2.0;
    if (cv::contourArea(outline) < kLeastMm2 * layers.frame.px_per_mm * layers.frame.px_per_mm) break;
    Polygon part;
    for (const cv::Point p : outline) part.push_back({layers.frame.mm_x(p.x), layers.frame.mm_y(p.y)});
    (truth.outline_mm.empty() ? truth.outline_mm : truth.other_parts_mm.emplace_back()) = part;
  }
  if (!truth.outline_mm.empty()) mark_outline(layers, truth);
}

cv::Mat soft_blob(const PlateLayers& layers, Point centre, double radius_mm, double rough, Dice& dice) {
  const PlateFrame& frame = layers.frame;
  const cv::Mat torn =
      fractal_noise(frame.size(), 1.2 * radius_mm * frame.px_per_mm, 0.4 * frame.px_per_mm, 0.55, dice);
  cv::Mat share(frame.size(), CV_32FC1, cv::Scalar(0));
  const double stretch = dice.uniform(0.6, 1.0);
  const double turn = dice.uniform(0.0, 3.14);
  for (int y = 0; y < share.rows; ++y)
    for (int x = 0; x < share.cols; ++x) {
      const double dx = frame.mm_x(x) - centre.x;
      const double dy = frame.mm_y(y) - centre.y;
      const double u = dx * std::cos(turn) + dy * std::sin(turn);
      const double v = (dy * std::cos(turn) - dx * std::sin(turn)) / stretch;
      const double out = std::hypot(u, v) / radius_mm + rough * torn.at<float>(y, x);
      share.at<float>(y, x) = static_cast<float>(1.0 / (1.0 + std::exp((out - 0.9) / 0.08)));
    }
  return share;
}

double quantile_of_picture(const PlateLayers& layers, double share) {
  std::vector<float> values;
  for (int y = 0; y < layers.image_tau.rows; y += 3)
    for (int x = 0; x < layers.image_tau.cols; x += 3)
      if (layers.opening.at<float>(y, x) > 0.9F && layers.film.at<float>(y, x) > 0.9F)
        values.push_back(layers.image_tau.at<float>(y, x));
  if (values.empty()) return 1.0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// The things of one tone round a place, 0..1; empty where they are too small to paint or have no end.
cv::Mat one_tone_from(const cv::Mat& tones, cv::Point seed, double step, double px_per_mm) {
  cv::Mat reached = cv::Mat::zeros(tones.rows + 2, tones.cols + 2, CV_8UC1);
  cv::Mat copy = tones.clone();
  cv::floodFill(copy, reached, seed, 0, nullptr, cv::Scalar(step), cv::Scalar(step),
                4 | (255 << 8) | cv::FLOODFILL_MASK_ONLY | cv::FLOODFILL_FIXED_RANGE);
  const double mm2 = cv::countNonZero(reached) / (px_per_mm * px_per_mm);
  if (mm2 < 10.0 || mm2 > 600.0) return {};
  cv::Mat cloth;
  reached(cv::Rect(1, 1, tones.cols, tones.rows)).convertTo(cloth, CV_32F, 1.0 / 255.0);
  cv::GaussianBlur(cloth, cloth, {}, 0.1 * px_per_mm);
  return cloth;
}

}  // namespace

// Iron left in the film: a green to blue cast in lights and darks, or rust at the cut edge.
TrueFault paint_iron_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  truth.colour_contrast = 0.12 * fault.strength;
  const PlateFrame& frame = layers.frame;
  const bool rust = dice.chance(0.35) && layers.iron;
  const Point at =
      rust ? side_spot(frame, dice.whole(0, 3), dice.uniform(0.1, 0.9)).root : somewhere(frame, 3.0, dice);
  const double radius = rust ? dice.uniform(1.5, 6.0) : dice.log_uniform(3.0, 20.0);
  Dice shape = dice.part(1);
  const cv::Mat share = soft_blob(layers, at, radius, rust ? 0.25 : 0.15, shape);
  const auto green = static_cast<float>(dice.uniform(0.0, 0.7));  // how far blue is held back too
  const Dye dye = rust ? Dye(-0.35F, 0.3F, 1.3F) : Dye(1.1F, 0.1F, 0.1F + green);
  add_stain(layers, share * truth.colour_contrast, dye);
  outline_of(truth, layers, share, 0.4);
  return truth;
}

// Far too much light: the brightest parts turn steely blue and darker than what lies round them.
TrueFault paint_solarised_blue(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  truth.colour_contrast = 0.10 * fault.strength;
  const double from = quantile_of_picture(layers, dice.uniform(0.80, 0.93));
  const double full = std::max(from + 0.002, quantile_of_picture(layers, 0.97));
  cv::Mat share(layers.frame.size(), CV_32FC1, cv::Scalar(0));
  for (int y = 0; y < share.rows; ++y)
    for (int x = 0; x < share.cols; ++x) {
      const double over = (layers.image_tau.at<float>(y, x) - from) / (full - from);
      share.at<float>(y, x) = static_cast<float>(std::clamp(over, 0.0, 1.0)) * layers.opening.at<float>(y, x);
    }
  const double darker = dice.uniform(0.0, 0.15) * fault.strength;
  layers.thickness = layers.thickness.mul(1.0 - darker * share);
  add_stain(layers, share * truth.colour_contrast, Dye(0.6F, 0.15F, -0.85F));
  outline_of(truth, layers, share, 0.4);
  return truth;
}

// The fixer did not reach here: iodide is left, creamy over the black; yellow in the light through a
// negative.
TrueFault paint_underfix_veil(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  truth.colour_contrast = 0.14 * fault.strength;
  const PlateFrame& frame = layers.frame;
  const Point at = dice.chance(0.5) ? side_spot(frame, dice.whole(0, 3), dice.uniform(0.2, 0.8)).root
                                    : somewhere(frame, 10.0, dice);
  Dice shape = dice.part(1);
  const double radius = dice.uniform(5.0, 0.35 * std::min(frame.width_mm, frame.height_mm));
  const cv::Mat share = soft_blob(layers, at, radius, 0.2, shape).mul(layers.film);
  if (layers.transmitted) {
    add_stain(layers, share * truth.colour_contrast, Dye(0.0F, 0.04F, 1.04F));
  } else {
    const double black = std::pow(10.0, -1.35);
    const double milk = 0.05 * fault.strength;
    truth.colour_contrast = std::log10((black + milk) / (black + 0.72 * milk));
    milk_of(layers) += milk * share;
  }
  outline_of(truth, layers, share, 0.4);
  return truth;
}

// Rouge on what is light, gilt in small dots: as portraits were finished, no fault.
void paint_hand_tint(PlateLayers& layers, Dice& dice) {
  const PlateFrame& frame = layers.frame;
  const double light = quantile_of_picture(layers, 0.6);
  for (int spot = 0; spot < 2; ++spot) {
    Point at{};
    for (int trial = 0; trial < 50; ++trial) {
      at = somewhere(frame, 15.0, dice);
      const Point px = frame.px(at);
      if (layers.image_tau.at<float>(static_cast<int>(px.y), static_cast<int>(px.x)) > light) break;
    }
    Dice shape = dice.part(10 + static_cast<std::uint64_t>(spot));
    const cv::Mat share = soft_blob(layers, at, dice.uniform(1.5, 4.0), 0.1, shape);
    add_stain(layers, share * dice.uniform(0.03, 0.12), Dye(-0.4F, 0.5F, 0.3F));
  }
  for (int dot = 0; dot < 6; ++dot) {
    Dice shape = dice.part(20 + static_cast<std::uint64_t>(dot));
    const cv::Mat share =
        soft_blob(layers, somewhere(frame, 15.0, dice), dice.uniform(0.3, 0.9), 0.05, shape);
    add_stain(layers, share * dice.uniform(0.1, 0.3), Dye(-0.15F, 0.0F, 1.0F));
  }
  // A dress or cloth washed with a colour, as far as its tone goes on.
  if (layers.image_tau.empty() || !dice.chance(0.6)) return;
  cv::Mat tones;
  cv::GaussianBlur(layers.image_tau, tones, {}, 0.2 * frame.px_per_mm);
  const double step = 0.15 * quantile_of_picture(layers, 0.95);
  cv::Mat cloth;
  for (int trial = 0; trial < 20 && cloth.empty(); ++trial) {
    const Point at = frame.px(somewhere(frame, 12.0, dice));
    cloth = one_tone_from(tones, {static_cast<int>(at.x), static_cast<int>(at.y)}, step, frame.px_per_mm);
  }
  if (cloth.empty()) return;
  constexpr std::array<std::array<float, 3>, 4> kWashes{
      {{0.8F, 0.2F, 0.0F}, {0.9F, 0.0F, 0.4F}, {-0.1F, 0.0F, 1.0F}, {0.1F, 0.8F, 0.5F}}};
  const auto& wash = kWashes[static_cast<std::size_t>(dice.whole(0, 3))];
  add_stain(layers, cloth * dice.uniform(0.03, 0.15), Dye(wash[0], wash[1], wash[2]));
}

}  // namespace platewise
