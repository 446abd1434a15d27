#include <algorithm>
#include <cmath>
#include <numbers>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Faults of the film itself: prints, stains from the edge, a net of lines. Sizes from handbook/faults.csv.

double smooth_step(double from, double to, double at) {
  const double u = std::clamp((at - from) / (to - from), 0.0, 1.0);
  return u * u * (3.0 - 2.0 * u);
}

}  // namespace

// Ridges of a finger on the soft film.
TrueFault paint_fingerprint(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const double long_mm = dice.uniform(8.0, 11.0);
  const double wide_mm = long_mm * dice.uniform(0.6, 0.75);
  const SideSpot spot = side_spot(layers.frame, dice.whole(0, 3), dice.uniform(0.15, 0.85));
  const Point at = spot.root + dice.uniform(5.0, 14.0) * spot.inward;
  const double turn = dice.uniform(0.0, std::numbers::pi);
  const double pitch = dice.uniform(0.42, 0.55);  // mm between ridges; PRACTICE
  Dice shape = dice.part(1);
  const cv::Mat sway = fractal_noise(layers.frame.size(), 6.0 * layers.frame.px_per_mm,
                                     1.0 * layers.frame.px_per_mm, 0.5, shape);
  const bool light = dice.chance(0.5);
  const Point whorl{dice.uniform(-1.5, 1.5), dice.uniform(-1.0, 3.0)};
  const Point reach{long_mm, long_mm};
  over_box(layers.frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const Point from = p - at;
    const double u = from.x * std::cos(turn) + from.y * std::sin(turn);
    const double v = -from.x * std::sin(turn) + from.y * std::cos(turn);
    const double oval = std::hypot(u / long_mm, v / wide_mm) * 1.6;
    if (oval > 1.4) return;
    const double rings = std::hypot(u - whorl.y, 1.25 * (v - whorl.x)) + 0.35 * sway.at<float>(y, x);
    const double ridge = 0.5 + 0.5 * std::sin(2.0 * std::numbers::pi * rings / pitch);
    const double touch =
        (1.0 - smooth_step(0.75, 1.1, oval)) * std::clamp(0.75 + 0.4 * sway.at<float>(y, x), 0.0, 1.0);
    if (light)
      layers.veil.at<float>(y, x) += static_cast<float>(0.05 * fault.strength * touch * ridge);
    else
      layers.thickness.at<float>(y, x) *=
          static_cast<float>(1.0 - std::min(0.9, 0.45 * fault.strength) * touch * ridge);
  });
  Polygon oval;
  for (int i = 0; i < 32; ++i) {
    const double a = 2.0 * std::numbers::pi * i / 32.0;
    const double u = 0.62 * long_mm * std::cos(a);
    const double v = 0.62 * wide_mm * std::sin(a);
    oval.push_back(at +
                   Point{u * std::cos(turn) - v * std::sin(turn), u * std::sin(turn) + v * std::cos(turn)});
  }
  truth.outline_mm = oval;
  truth.length_mm = 1.24 * long_mm;
  truth.width_mm = 1.24 * wide_mm;
  mark_outline(layers, truth);
  return truth;
}

// Curly, shell-like metallic fringes that grow inward from an edge.
TrueFault paint_oyster_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const SideSpot spot = side_spot(layers.frame, dice.whole(0, 3), dice.uniform(0.2, 0.8));
  const double deep = dice.uniform(6.0, 20.0);
  const double broad = dice.uniform(8.0, 28.0);
  Dice shape = dice.part(1);
  const double k = layers.frame.px_per_mm;
  const cv::Mat scallop = fractal_noise(layers.frame.size(), 7.0 * k, 0.5 * k, 0.6, shape);
  const cv::Mat patchy = fractal_noise(layers.frame.size(), 3.0 * k, 0.3 * k, 0.75, shape);
  const double pitch = dice.uniform(1.2, 2.5);
  const Point reach{std::max(deep, broad) + 6.0, std::max(deep, broad) + 6.0};
  over_box(layers.frame, spot.root - reach, spot.root + reach, [&](Point p, int y, int x) {
    const Point from = p - spot.root;
    const double u = from.x * spot.inward.x + from.y * spot.inward.y;
    const double v = from.x * spot.along.x + from.y * spot.along.y;
    const double out = std::hypot(u / deep, v / (0.5 * broad)) + 0.16 * scallop.at<float>(y, x);
    if (out > 1.15) return;
    // Fringes crowd toward the growing front and end there sharply.
    const double front = 1.0 - smooth_step(0.96, 1.0, out);
    const double fringe = 0.5 + 0.5 * std::sin(2.0 * std::numbers::pi * (out * deep) / pitch);
    const double metal = front * (0.35 + 0.65 * fringe * smooth_step(0.3, 1.0, out)) *
                         std::clamp(0.6 + 0.5 * patchy.at<float>(y, x), 0.0, 1.5);
    layers.veil.at<float>(y, x) += static_cast<float>(0.10 * fault.strength * metal);
  });
  for (int i = 0; i <= 24; ++i) {
    const double a = std::numbers::pi * (i / 24.0 - 0.5);
    truth.outline_mm.push_back(spot.root + (deep * std::cos(a)) * spot.inward +
                               (0.5 * broad * std::sin(a)) * spot.along);
  }
  truth.length_mm = deep;
  truth.width_mm = broad;
  mark_outline(layers, truth);
  return truth;
}

// A grey or brown band along one side without fern shape.
TrueFault paint_edge_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const int side = dice.whole(0, 3);
  const double from = dice.uniform(0.0, 0.4);
  const double to = dice.uniform(0.6, 1.0);
  const SideSpot start = side_spot(frame, side, 0.0);
  const double length = side % 2 == 0 ? frame.width_mm : frame.height_mm;
  const double deep = dice.uniform(3.0, 9.0);
  Dice shape = dice.part(1);
  const auto reach = wandering(300, 100.0, 5.0, 0.6, shape);
  over_box(frame, {0.0, 0.0}, {frame.width_mm, frame.height_mm}, [&](Point p, int y, int x) {
    const Point way = p - start.root;
    const double u = way.x * start.inward.x + way.y * start.inward.y;
    const double share = std::clamp((way.x * start.along.x + way.y * start.along.y) / length, 0.0, 1.0);
    const double here =
        deep * std::clamp(1.0 + 0.35 * reach[static_cast<std::size_t>(share * 299.0)], 0.2, 2.0) *
        smooth_step(from - 0.05, from + 0.05, share) * (1.0 - smooth_step(to - 0.05, to + 0.05, share));
    const double stain = (1.0 - smooth_step(0.5 * here, here + 0.3, u)) * (here > 0.3 ? 1.0 : 0.0);
    layers.veil.at<float>(y, x) += static_cast<float>(0.06 * fault.strength * stain);
  });
  for (double share : {from, to}) truth.outline_mm.push_back(start.root + (share * length) * start.along);
  for (double share : {to, from})
    truth.outline_mm.push_back(start.root + (share * length) * start.along + deep * start.inward);
  truth.length_mm = (to - from) * length;
  truth.width_mm = deep;
  mark_outline(layers, truth);
  return truth;
}

// A net of fine mesh in the film itself, over a part of the plate.
TrueFault paint_crapy_lines(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const PlateFrame& frame = layers.frame;
  const double radius = std::min(frame.width_mm, frame.height_mm) * dice.uniform(0.2, 0.4);
  const Point at = somewhere(frame, radius, dice);
  const double cell = dice.uniform(0.7, 2.0);
  Dice shape = dice.part(1);
  const cv::Mat mesh = smooth_noise(frame.size(), cell * frame.px_per_mm, shape);
  const cv::Mat other = smooth_noise(frame.size(), cell * frame.px_per_mm, shape);
  const cv::Mat border =
      fractal_noise(frame.size(), 15.0 * frame.px_per_mm, 2.0 * frame.px_per_mm, 0.6, shape);
  const Point reach{1.5 * radius, 1.5 * radius};
  over_box(frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const double out = distance(p, at) / radius + 0.15 * border.at<float>(y, x);
    const double here = 1.0 - smooth_step(0.8, 1.1, out);
    // Lines where either smooth noise crosses zero: a closed net of cells.
    const double line = std::exp(-std::pow(mesh.at<float>(y, x) / 0.22, 2.0)) +
                        std::exp(-std::pow(other.at<float>(y, x) / 0.22, 2.0));
    layers.thickness.at<float>(y, x) *=
        static_cast<float>(std::max(0.3, 1.0 + 0.3 * fault.strength * here * (0.4 - std::min(1.0, line))));
  });
  truth.outline_mm = rough_ring(at, radius, radius, 0.0, shape);
  truth.length_mm = 2.0 * radius;
  truth.width_mm = cell;
  mark_outline(layers, truth);
  return truth;
}

}  // namespace platewise
