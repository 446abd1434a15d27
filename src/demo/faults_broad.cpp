#include <algorithm>
#include <cmath>
#include <numbers>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Faults that spread over a part of the plate.

int place(double u, std::size_t count) {
  return static_cast<int>(std::clamp(u, 0.0, 1.0) * static_cast<double>(count - 1));
}

}  // namespace

// Furrows of the last run of collodion toward a drain corner: not quite parallel, thick and thin in turn.
TrueFault paint_pour_ridges(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const bool to_right = dice.chance(0.5);
  const double run = std::hypot(frame.width_mm, frame.height_mm);
  const double heading =
      std::atan2(frame.height_mm, to_right ? frame.width_mm : -frame.width_mm) + dice.uniform(-0.12, 0.12);
  const Point along{std::cos(heading), std::sin(heading)};
  const Point across{-along.y, along.x};
  const double spread = dice.uniform(12.0, 35.0);  // mm across
  const Point drain{to_right ? frame.width_mm : 0.0, frame.height_mm};
  const double reach = run * dice.uniform(0.55, 0.9);
  const double fan = dice.uniform(0.0, 0.35);
  const double offset = dice.uniform(-0.3, 0.3) * spread;
  Dice lines = dice.part(1);
  const auto ridge = wandering(600, 600.0 * dice.uniform(1.8, 3.2) / spread, 10.0, 0.6, lines);
  const auto sway = wandering(200, 80.0, 10.0, 0.4, lines);
  const auto start = wandering(200, 40.0, 5.0, 0.6, lines);
  over_box(frame, {0.0, 0.0}, {frame.width_mm, frame.height_mm}, [&](Point p, int y, int x) {
    const Point from = p - drain;
    const double back = -(from.x * along.x + from.y * along.y);  // mm uphill of the drain corner
    if (back < -20.0 || back > reach * 1.2) return;
    const double width = spread * (1.0 + fan * back / run);
    const double v = from.x * across.x + from.y * across.y - offset +
                     0.8 * sway[static_cast<std::size_t>(place(back / run, sway.size()))];
    const double u = v / width + 0.5;
    if (u <= 0.0 || u >= 1.0) return;
    const double end = reach * (1.0 + 0.1 * start[static_cast<std::size_t>(place(u, start.size()))]);
    const double fade =
        std::clamp((end - back) / (0.3 * reach), 0.0, 1.0) * std::min(1.0, 6.0 * u * (1.0 - u));
    const double swing =
        0.22 * fault.strength * fade * ridge[static_cast<std::size_t>(place(u, ridge.size()))];
    layers.thickness.at<float>(y, x) *= static_cast<float>(std::clamp(1.0 + swing, 0.2, 2.0));
  });
  const auto at = [&](double back, double u) {
    return drain - back * along + (offset + (u - 0.5) * spread * (1.0 + fan * back / run)) * across;
  };
  truth.outline_mm = {at(0.0, 0.03), at(reach * 0.95, 0.03), at(reach * 0.95, 0.97), at(0.0, 0.97)};
  truth.length_mm = reach;
  truth.width_mm = spread / 6.0;
  truth.angle_deg = std::fmod(screen_angle_deg(drain, drain + along), 180.0);
  mark_outline(layers, truth);
  return truth;
}

// The developer's wave stopped: a curved line, and the side it reached late is weaker.
TrueFault paint_stall_line(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const double level = frame.height_mm * dice.uniform(0.3, 0.7);
  const double slope = dice.uniform(-0.35, 0.35);
  const double bow = dice.uniform(-0.008, 0.008);
  const bool late_below = dice.chance(0.5);
  const double weaker = std::min(0.8, 0.22 * fault.strength);
  Dice line = dice.part(1);
  const auto wave = wandering(400, 120.0, 4.0, 0.5, line);
  const auto front = [&](double x) {
    const double from = x - frame.width_mm / 2.0;
    return level + slope * from + bow * from * from +
           1.6 * wave[static_cast<std::size_t>(place(x / frame.width_mm, wave.size()))];
  };
  const double settle = dice.uniform(10.0, 40.0);  // mm over which the late side recovers
  over_box(frame, {0.0, 0.0}, {frame.width_mm, frame.height_mm}, [&](Point p, int y, int x) {
    const double past = (late_below ? 1.0 : -1.0) * (p.y - front(p.x));
    const double step = 1.0 / (1.0 + std::exp(-past / 0.25));
    const double late = step * std::exp(-std::max(0.0, past) / settle);
    const double rim = std::exp(-0.5 * (past / 0.6) * (past / 0.6));
    layers.thickness.at<float>(y, x) *= static_cast<float>(1.0 - weaker * late + 0.18 * fault.strength * rim);
    layers.veil.at<float>(y, x) += static_cast<float>(0.012 * fault.strength * rim);
  });
  Polygon spine;
  for (int i = 0; i <= 24; ++i)
    spine.push_back({frame.width_mm * i / 24.0, front(frame.width_mm * i / 24.0)});
  truth.outline_mm = band_outline(spine, 1.5);
  truth.length_mm = distance(spine.front(), spine.back());
  truth.width_mm = 2.0;
  truth.angle_deg = std::fmod(screen_angle_deg(spine.front(), spine.back()), 180.0);
  mark_outline(layers, truth);
  return truth;
}

// Light through a gap of the holder: a plume from an edge, hard on one side. Light acts before development,
// so it also lies on the rim.
TrueFault paint_light_leak(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const int side = dice.whole(0, 3);  // top, right, bottom, left
  const bool upright = side % 2 == 0;
  const double along = (upright ? frame.width_mm : frame.height_mm) * dice.uniform(0.15, 0.85);
  const Point root = side == 0   ? Point{along, 0.0}
                     : side == 1 ? Point{frame.width_mm, along}
                     : side == 2 ? Point{along, frame.height_mm}
                                 : Point{0.0, along};
  const Point inward = upright ? Point{0.0, side == 0 ? 1.0 : -1.0} : Point{side == 3 ? 1.0 : -1.0, 0.0};
  const double turn = dice.uniform(-0.6, 0.6);
  const Point ray{inward.x * std::cos(turn) - inward.y * std::sin(turn),
                  inward.x * std::sin(turn) + inward.y * std::cos(turn)};
  const Point across{-ray.y, ray.x};
  const double reach = std::min(frame.width_mm, frame.height_mm) * dice.uniform(0.3, 0.8);
  const double root_width = dice.uniform(2.0, 8.0);
  const double spread = dice.uniform(0.1, 0.5);
  const double hard = dice.chance(0.5) ? 1.0 : -1.0;
  const double silver = 0.30 * fault.strength;
  const double most = root_width + spread * reach;
  over_box(frame, {0.0, 0.0}, {frame.width_mm, frame.height_mm}, [&](Point p, int y, int x) {
    const Point from = p - root;
    const double u = from.x * ray.x + from.y * ray.y;
    const double v = hard * (from.x * across.x + from.y * across.y);
    if (u < -10.0 || u > 1.6 * reach) return;
    const double width = root_width + spread * std::max(0.0, u);
    const double side_fall = v < 0.0 ? std::exp(-0.5 * (v / 0.4) * (v / 0.4)) : std::exp(-1.6 * v / width);
    const double fade =
        std::exp(-2.0 * std::max(0.0, u) / reach) * std::clamp((1.6 * reach - u) / reach, 0.0, 1.0);
    layers.veil.at<float>(y, x) += static_cast<float>(silver * side_fall * fade);
  });
  truth.outline_mm = {root - (hard * 0.5) * across, root + reach * ray - (hard * 0.5) * across,
                      root + reach * ray + (hard * most) * across, root + (hard * root_width) * across};
  truth.length_mm = reach;
  truth.width_mm = root_width;
  truth.angle_deg = screen_angle_deg(root, root + ray);
  mark_outline(layers, truth);
  return truth;
}

}  // namespace platewise
