#include <algorithm>
#include <cmath>
#include <numbers>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Faults that the bath, the developer and the drying leave. Sizes from handbook/faults.csv.

std::size_t place(double share, std::size_t count) {
  return static_cast<std::size_t>(std::clamp(share, 0.0, 1.0) * static_cast<double>(count - 1));
}

Polygon circle(Point centre, double radius_x, double radius_y) {
  Polygon ring;
  for (int i = 0; i < 32; ++i) {
    const double a = 2.0 * std::numbers::pi * i / 32.0;
    ring.push_back(centre + Point{radius_x * std::cos(a), radius_y * std::sin(a)});
  }
  return ring;
}

}  // namespace

// Straight parallel bands along the way the plate went into the bath.
TrueFault paint_dip_streaks(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const double left = frame.width_mm * dice.uniform(0.1, 0.4);
  const double right = std::min(frame.width_mm, left + frame.width_mm * dice.uniform(0.25, 0.6));
  const double end = frame.height_mm * dice.uniform(0.6, 1.0);
  const double lean = dice.uniform(-0.04, 0.04);
  Dice lines = dice.part(1);
  const auto streak = wandering(500, 90.0, 6.0, 0.7, lines);
  over_box(frame, {0.0, 0.0}, {frame.width_mm, frame.height_mm}, [&](Point p, int y, int x) {
    const double u = (p.x - lean * p.y - left) / (right - left);
    if (u <= 0.0 || u >= 1.0) return;
    const double fade =
        std::min(1.0, 5.0 * u * (1.0 - u) * 4.0) * std::clamp((end - p.y) / (0.3 * end), 0.0, 1.0);
    const double swing = streak[place(u, streak.size())];
    // Mostly light lines: silver that fell where the bath ran.
    layers.veil.at<float>(y, x) += static_cast<float>(0.035 * fault.strength * fade * std::max(0.0, swing));
    layers.thickness.at<float>(y, x) *=
        static_cast<float>(std::max(0.3, 1.0 + 0.12 * fault.strength * fade * swing));
  });
  truth.outline_mm = {
      {left, 0.0}, {right, 0.0}, {right + lean * end, 0.9 * end}, {left + lean * end, 0.9 * end}};
  truth.length_mm = end;
  truth.width_mm = (right - left) / 6.0;
  truth.angle_deg = std::fmod(screen_angle_deg({left + lean * end, end}, {left, 0.0}), 180.0);
  mark_outline(layers, truth);
  return truth;
}

// The plate stopped on its way into the bath: one dark line straight across, with a light rim.
TrueFault paint_bath_halt_line(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const double level = frame.height_mm * dice.uniform(0.25, 0.75);
  const double slope = dice.uniform(-0.03, 0.03);
  const double half = dice.uniform(0.3, 0.9);
  Dice line = dice.part(1);
  const auto lace = wandering(400, 40.0, 2.0, 0.8, line);
  over_box(frame, {0.0, level - 6.0}, {frame.width_mm, level + 6.0}, [&](Point p, int y, int x) {
    const double off = p.y - level - slope * p.x - 0.12 * lace[place(p.x / frame.width_mm, lace.size())];
    const double dark = std::exp(-0.5 * (off / half) * (off / half));
    const double rim = std::exp(-0.5 * std::pow((off - 2.2 * half) / (0.5 * half), 2.0));
    layers.thickness.at<float>(y, x) *= static_cast<float>(1.0 - std::min(0.9, 0.4 * fault.strength) * dark);
    layers.veil.at<float>(y, x) += static_cast<float>(0.02 * fault.strength * rim);
  });
  const Polygon spine{{0.0, level}, {frame.width_mm, level + slope * frame.width_mm}};
  truth.outline_mm = band_outline(spine, 2.5 * half);
  truth.length_mm = frame.width_mm;
  truth.width_mm = 2.0 * half;
  truth.angle_deg = std::fmod(screen_angle_deg(spine[0], spine[1]), 180.0);
  mark_outline(layers, truth);
  return truth;
}

// The stream of developer washed the silver off where it hit: a soft weak fan from the pouring edge.
TrueFault paint_developer_splash(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const SideSpot spot = side_spot(layers.frame, dice.whole(0, 3), dice.uniform(0.25, 0.75));
  const double deep = dice.uniform(10.0, 28.0);
  const double broad = dice.uniform(8.0, 22.0);
  Dice shape = dice.part(1);
  const cv::Mat soft = fractal_noise(layers.frame.size(), 10.0 * layers.frame.px_per_mm,
                                     1.0 * layers.frame.px_per_mm, 0.5, shape);
  const Point centre = spot.root + (0.4 * deep) * spot.inward;
  const Point reach{1.6 * std::max(deep, broad), 1.6 * std::max(deep, broad)};
  over_box(layers.frame, centre - reach, centre + reach, [&](Point p, int y, int x) {
    const Point from = p - centre;
    const double u = (from.x * spot.inward.x + from.y * spot.inward.y) / (0.6 * deep);
    const double v = (from.x * spot.along.x + from.y * spot.along.y) / (0.5 * broad);
    const double out = std::hypot(u, v) + 0.12 * soft.at<float>(y, x);
    const double weak = 1.0 / (1.0 + std::exp((out - 0.85) / 0.12));
    layers.thickness.at<float>(y, x) *= static_cast<float>(1.0 - std::min(0.9, 0.5 * fault.strength) * weak);
  });
  for (int i = 0; i < 32; ++i) {
    const double a = 2.0 * std::numbers::pi * i / 32.0;
    truth.outline_mm.push_back(centre + (0.6 * deep * std::cos(a)) * spot.inward +
                               (0.5 * broad * std::sin(a)) * spot.along);
  }
  truth.length_mm = deep;
  truth.width_mm = broad;
  mark_outline(layers, truth);
  return truth;
}

// A bubble kept the bath or developer away: a round dark disc with a sharp, sometimes light rim.
TrueFault paint_air_bell(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const double radius = 0.5 * dice.log_uniform(0.8, 6.0);
  const Point at = somewhere(layers.frame, radius + 4.0, dice);
  const bool light_rim = dice.chance(0.5);
  const double round = dice.uniform(0.88, 1.0);
  const Point reach{radius + 1.5, radius + 1.5};
  over_box(layers.frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const double out = std::hypot(p.x - at.x, (p.y - at.y) / round) - radius;
    const double inside = std::clamp(0.5 - out / 0.12, 0.0, 1.0);
    take_away(layers.thickness, y, x, std::min(1.0, 0.85 * fault.strength) * inside);
    const double rim = std::exp(-0.5 * std::pow(out / 0.12, 2.0));
    if (light_rim) layers.veil.at<float>(y, x) += static_cast<float>(0.08 * fault.strength * rim);
  });
  truth.outline_mm = circle(at, radius + 0.2, radius * round + 0.2);
  truth.length_mm = 2.0 * radius;
  truth.width_mm = 2.0 * radius * round;
  mark_outline(layers, truth);
  return truth;
}

// A drop dried in place: a ring or tongue with a sharp rim, near the lower edge.
TrueFault paint_drying_mark(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const double radius = dice.uniform(2.0, 9.0);
  const double tongue = dice.uniform(1.0, 2.2);
  const PlateFrame& frame = layers.frame;
  const Point at{dice.uniform(radius, frame.width_mm - radius),
                 frame.height_mm - std::min(0.5 * frame.height_mm, radius * tongue * dice.uniform(0.6, 1.6))};
  Dice shape = dice.part(1);
  const Polygon outline = rough_ring(at, radius, radius * tongue, 0.10, shape);
  const double sign = dice.chance(0.5) ? 1.0 : -1.0;
  const auto far = [&](Point p) {  // distance to the rim, positive inside
    const double turn = std::atan2((p.y - at.y) / tongue, p.x - at.x);
    const double u = (turn < 0.0 ? turn + 2.0 * std::numbers::pi : turn) / (2.0 * std::numbers::pi);
    const Point rim = outline[place(u, outline.size())];
    return std::hypot(rim.x - at.x, (rim.y - at.y) / tongue) - std::hypot(p.x - at.x, (p.y - at.y) / tongue);
  };
  const Point reach{1.5 * radius, 1.5 * radius * tongue};
  over_box(frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const double inside = far(p);
    const double rim = std::exp(-0.5 * std::pow(inside / 0.22, 2.0));
    const double pool = 1.0 / (1.0 + std::exp(-inside / 0.15));
    layers.thickness.at<float>(y, x) *=
        static_cast<float>(std::max(0.3, 1.0 + sign * fault.strength * (0.30 * rim + 0.07 * pool)));
    layers.veil.at<float>(y, x) += static_cast<float>(0.02 * fault.strength * rim);
  });
  truth.outline_mm = outline;
  truth.length_mm = 2.0 * radius * tongue;
  truth.width_mm = 2.0 * radius;
  mark_outline(layers, truth);
  return truth;
}

}  // namespace platewise
