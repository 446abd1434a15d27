#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Film that is not there. Sizes from handbook/faults.csv; shapes are common practice.

// Takes film off where the distance into a gap (mm) is positive, and makes what is gone the truth's outline.
class Gap {
 public:
  explicit Gap(PlateLayers& layers) : layers_(&layers), gone_(cv::Mat::zeros(layers.frame.size(), CV_8UC1)) {}

  void take(double inside_mm, int y, int x) {
    take_away(layers_->film, y, x, std::clamp(0.5 + inside_mm * layers_->frame.px_per_mm, 0.0, 1.0));
    if (inside_mm > 0.0) gone_.at<std::uint8_t>(y, x) = 255;
  }

  [[nodiscard]] TrueFault truth(const std::string& id) const {
    TrueFault truth;
    truth.id = id;
    std::vector<std::vector<cv::Point>> outlines;
    cv::findContours(gone_ & (layers_->plate > 0.5F), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
    if (outlines.empty()) return truth;
    const auto largest = std::max_element(outlines.begin(), outlines.end(), [](const auto& a, const auto& b) {
      return cv::contourArea(a) < cv::contourArea(b);
    });
    for (const cv::Point p : *largest)
      truth.outline_mm.push_back({layers_->frame.mm_x(p.x), layers_->frame.mm_y(p.y)});
    const cv::RotatedRect tight = cv::minAreaRect(*largest);
    truth.length_mm = std::max(tight.size.width, tight.size.height) / layers_->frame.px_per_mm;
    truth.width_mm = std::min(tight.size.width, tight.size.height) / layers_->frame.px_per_mm;
    mark_outline(*layers_, truth);
    return truth;
  }

 private:
  PlateLayers* layers_;
  cv::Mat gone_;
};

// How far inside a shape with a ragged border a place lies; places from its middle, mm along and across.
using HoleShape = double (*)(double along, double across, double half_length, double stretch, double rough);

double round_hole(double along, double across, double half_length, double stretch, double rough) {
  return half_length * (1.0 + 0.22 * rough) - std::hypot(along, across / stretch);
}

// A rip that gapes: pointed at both ends.
double spindle(double along, double across, double half_length, double stretch, double rough) {
  const double u = along / half_length;
  const double half_width = 0.5 * stretch * half_length * (1.0 + 0.06 * rough);
  return half_width * (1.0 - u * u) - std::abs(across);
}

// Where frilling starts: at the plate's side, or at the border of the rim, where wet film is weakest.
double first_holding_mm(const PlateLayers& layers, const SideSpot& spot) {
  for (double inward = 0.0; inward < 10.0; inward += 0.1) {
    const Point at = layers.frame.px(spot.root + inward * spot.inward);
    if (layers.opening.at<float>(static_cast<int>(at.y), static_cast<int>(at.x)) > 0.5F) return inward;
  }
  return 0.0;
}

}  // namespace

// A ragged hole or a gaping rip, with a lip where the film curled.
TrueFault paint_tear_hole(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  const bool is_rip = dice.chance(0.4);
  const double half_length = is_rip ? dice.log_uniform(3.0, 12.0) : dice.log_uniform(1.5, 8.0);
  const HoleShape shape_of = is_rip ? spindle : round_hole;
  const Point at = somewhere(layers.frame, half_length + 3.0, dice);
  Dice shape = dice.part(1);
  const double stretch = dice.uniform(0.5, 1.0);
  const double turn = dice.uniform(0.0, std::numbers::pi);
  const cv::Mat ragged = fractal_noise(layers.frame.size(), 4.0 * layers.frame.px_per_mm,
                                       0.3 * layers.frame.px_per_mm, 0.65, shape);
  Gap gap(layers);
  const Point reach{2.0 * half_length, 2.0 * half_length};
  over_box(layers.frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const Point from = p - at;
    const double u = from.x * std::cos(turn) + from.y * std::sin(turn);
    const double v = -from.x * std::sin(turn) + from.y * std::cos(turn);
    const double inside = shape_of(u, v, half_length, stretch, ragged.at<float>(y, x));
    gap.take(inside, y, x);
    const double lip = std::exp(-0.5 * std::pow((inside + 0.35) / 0.25, 2.0));
    layers.veil.at<float>(y, x) += static_cast<float>(0.12 * fault.strength * lip);
  });
  return gap.truth(fault.id);
}

// Film that left its support along a side: bare in ragged scallops, with a fold of the film lying double
// along the line where it still holds, or fine wrinkles that run alongside.
TrueFault paint_frilling(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  SideSpot spot = side_spot(layers.frame, dice.whole(0, 3), dice.uniform(0.2, 0.8));
  if (dice.chance(0.4)) spot.root = spot.root + first_holding_mm(layers, spot) * spot.inward;
  const double half = 0.5 * dice.log_uniform(8.0, 40.0);
  const double depth = dice.log_uniform(3.0, std::min(12.0, 1.2 * half));
  const bool has_fold = dice.chance(0.5);
  const int wrinkles = has_fold ? 0 : dice.whole(0, 4);
  const double wrinkle_pitch = dice.uniform(0.6, 1.4);
  constexpr int kPoints = 400;
  Dice shape = dice.part(1);
  const auto scallops = wandering(kPoints, 90.0, 8.0, 0.8, shape);
  const auto folds = wandering(kPoints, 60.0, 6.0, 0.7, shape);
  const auto reach_at = [&](double along) {
    const double u = along / half;
    const auto place = static_cast<std::size_t>(std::clamp(0.5 + 0.5 * u, 0.0, 1.0) * (kPoints - 1));
    return depth * std::sqrt(std::max(0.0, 1.0 - u * u)) * std::max(0.2, 1.0 + 0.3 * scallops[place]);
  };
  Gap gap(layers);
  const Point reach{half + 1.6 * depth + 4.0, half + 1.6 * depth + 4.0};
  over_box(layers.frame, spot.root - reach, spot.root + reach, [&](Point p, int y, int x) {
    const Point from = p - spot.root;
    const double along = from.x * spot.along.x + from.y * spot.along.y;
    const double inward = from.x * spot.inward.x + from.y * spot.inward.y;
    if (std::abs(along) > half || inward < -0.5) return;
    const double inside = reach_at(along) - inward;
    const auto place = static_cast<std::size_t>((0.5 + 0.5 * along / half) * (kPoints - 1));
    const double fold = std::max(0.0, 0.8 + 0.6 * folds[place]);  // mm
    if (has_fold && inside < 0.0 && inside > -fold) {
      layers.thickness.at<float>(y, x) *= 1.8F;
      layers.veil.at<float>(y, x) += static_cast<float>(0.05 * fault.strength);
    }
    for (int i = 1; i <= wrinkles; ++i) {
      const double off = -inside - i * wrinkle_pitch - 0.2 * folds[place];
      layers.thickness.at<float>(y, x) *=
          static_cast<float>(1.0 + 0.5 * std::exp(-0.5 * std::pow(off / 0.12, 2.0)));
    }
    gap.take(inside, y, x);
  });
  return gap.truth(fault.id);
}

// A side that the pool never reached: one wide bow, with the bead of the flow along it.
TrueFault paint_missed_side(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  constexpr double kBeadMm = 0.5;
  const SideSpot spot = side_spot(layers.frame, dice.whole(0, 3), dice.uniform(0.25, 0.75));
  const double half = 0.5 * dice.log_uniform(7.0, 40.0);
  const double depth = dice.log_uniform(2.5, std::min(12.0, half));
  const double power = dice.uniform(0.5, 1.5);
  Dice shape = dice.part(1);
  const auto swing = wandering(400, 200.0, 40.0, 0.5, shape);
  Gap gap(layers);
  const Point reach{half + depth + 4.0, half + depth + 4.0};
  over_box(layers.frame, spot.root - reach, spot.root + reach, [&](Point p, int y, int x) {
    const Point from = p - spot.root;
    const double along = from.x * spot.along.x + from.y * spot.along.y;
    const double inward = from.x * spot.inward.x + from.y * spot.inward.y;
    const double u = along / half;
    if (std::abs(u) > 1.0) return;
    const auto place = static_cast<std::size_t>((0.5 + 0.5 * u) * 399.0);
    const double inside = depth * std::pow(1.0 - u * u, power) * (1.0 + 0.06 * swing[place]) - inward;
    const double bead = std::max(0.0, 1.0 - std::abs(inside + kBeadMm) / kBeadMm);
    layers.thickness.at<float>(y, x) *= static_cast<float>(1.0 + 0.2 * bead);
    gap.take(inside, y, x);
  });
  return gap.truth(fault.id);
}

}  // namespace platewise
