#include <algorithm>
#include <cmath>
#include <numbers>

#include "fault_brush.h"
#include "noise.h"

namespace platewise {
namespace {

// Faults the size of a dot or a line. Sizes from handbook/faults.csv (column size_mm).

double segment_distance(Point at, Point a, Point b) {
  const Point along = b - a;
  const double length2 = std::max(1e-12, along.x * along.x + along.y * along.y);
  const double u = std::clamp(((at.x - a.x) * along.x + (at.y - a.y) * along.y) / length2, 0.0, 1.0);
  return distance(at, a + u * along);
}

void less(cv::Mat& layer, int y, int x, double share) {
  layer.at<float>(y, x) *= static_cast<float>(1.0 - std::clamp(share, 0.0, 1.0));
}

double dot_cover(double far_mm, double radius_mm, double px_per_mm) {
  return std::clamp(0.5 + (radius_mm - far_mm) * px_per_mm, 0.0, 1.0) *
         std::min(1.0, std::numbers::pi * radius_mm * radius_mm * px_per_mm * px_per_mm);
}

// Grows a box to hold a disc.
struct Extent {
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};

  void hold(Point at, double radius_mm) {
    low = {std::min(low.x, at.x - radius_mm), std::min(low.y, at.y - radius_mm)};
    high = {std::max(high.x, at.x + radius_mm), std::max(high.y, at.y + radius_mm)};
  }
  [[nodiscard]] TrueSpeck speck(std::string id) const {
    return {std::move(id),
            {low, {high.x, low.y}, high, {low.x, high.y}},
            std::max(high.x - low.x, high.y - low.y)};
  }
};

// An irregular fleck: a few overlapping dots.
void fleck(PlateLayers& layers, const char* id, Point centre, double radius_mm, Dice& dice,
           const std::function<void(int, int, double)>& touch) {
  const int lumps = dice.whole(1, 4);
  Extent extent;
  for (int i = 0; i < lumps; ++i) {
    const Point at = centre + Point{radius_mm * dice.uniform(-0.7, 0.7), radius_mm * dice.uniform(-0.7, 0.7)};
    const double radius = radius_mm * dice.uniform(0.5, 1.0);
    const Point reach{radius + 0.1, radius + 0.1};
    extent.hold(at, radius);
    over_box(layers.frame, at - reach, at + reach, [&](Point p, int y, int x) {
      const double cover = dot_cover(distance(p, at), radius, layers.frame.px_per_mm);
      if (cover > 0.0) touch(y, x, cover);
    });
  }
  layers.specks.push_back(extent.speck(id));
}

void fibre(PlateLayers& layers, Point start, double length_mm, double width_mm, double density, Dice& dice) {
  Point at = start;
  Extent extent;
  double heading = dice.uniform(0.0, 2.0 * std::numbers::pi);
  const double curl = dice.uniform(-0.5, 0.5);
  constexpr double kPieceMm = 0.3;
  for (double run = 0.0; run < length_mm; run += kPieceMm) {
    heading += curl * kPieceMm + dice.uniform(-0.15, 0.15);
    const Point next = at + Point{kPieceMm * std::cos(heading), kPieceMm * std::sin(heading)};
    extent.hold(next, width_mm / 2.0);
    const Point low{std::min(at.x, next.x) - 0.2, std::min(at.y, next.y) - 0.2};
    const Point high{std::max(at.x, next.x) + 0.2, std::max(at.y, next.y) + 0.2};
    over_box(layers.frame, low, high, [&](Point p, int y, int x) {
      const double cover =
          std::clamp(0.5 + (width_mm / 2.0 - segment_distance(p, at, next)) * layers.frame.px_per_mm, 0.0,
                     std::min(1.0, width_mm * layers.frame.px_per_mm));
      if (cover <= layers.dust.at<float>(y, x)) return;
      layers.dust.at<float>(y, x) = static_cast<float>(cover);
      layers.dust_density.at<float>(y, x) = static_cast<float>(density);
      layers.faulty.at<std::uint8_t>(y, x) = 255;
    });
    at = next;
  }
  layers.specks.push_back(extent.speck("dust_speck"));
}

TrueFault whole_plate_group(PlateLayers& layers, const FaultOptions& fault) {
  TrueFault truth;
  truth.id = fault.id;
  const Quad corners = rectangle(layers.frame.width_mm, layers.frame.height_mm);
  truth.outline_mm = Polygon(corners.begin(), corners.end());
  truth.box_width_mm = layers.frame.width_mm;
  truth.box_height_mm = layers.frame.height_mm;
  truth.count = fault.count;
  return truth;
}

}  // namespace

TrueFault paint_pinholes(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  for (int i = 0; i < fault.count; ++i) {
    const Point at = somewhere(layers.frame, 0.5, dice);
    const double radius = 0.5 * dice.log_uniform(0.05, 0.30) * std::sqrt(fault.strength);
    fleck(layers, "pinhole", at, radius, dice, [&](int y, int x, double cover) {
      less(layers.film, y, x, cover);
      if (cover > 0.2) layers.faulty.at<std::uint8_t>(y, x) = 255;
    });
  }
  return whole_plate_group(layers, fault);
}

TrueFault paint_dust(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  for (int i = 0; i < fault.count; ++i) {
    const Point at = somewhere(layers.frame, 0.5, dice);
    if (dice.chance(0.2)) {
      fibre(layers, at, dice.uniform(1.0, 6.0), dice.uniform(0.03, 0.08), dice.chance(0.6) ? 0.25 : 1.2,
            dice);
      continue;
    }
    const bool bare = dice.chance(0.5);
    fleck(layers, "dust_speck", at, 0.5 * dice.log_uniform(0.1, 1.2) * fault.strength, dice,
          [&](int y, int x, double cover) {
            if (bare) {
              less(layers.film, y, x, cover);
            } else {
              layers.veil.at<float>(y, x) += static_cast<float>(0.5 * cover);
            }
            if (cover > 0.2) layers.faulty.at<std::uint8_t>(y, x) = 255;
          });
  }
  return whole_plate_group(layers, fault);
}

void paint_ordinary_specks(PlateLayers& layers, int count, Dice& dice) {
  for (int i = 0; i < count; ++i) {
    const Point at = somewhere(layers.frame, 0.2, dice);
    const double kind = dice.uniform();
    // Sizes fall off fast: most are hardly seen, a few are plain.
    const double radius = 0.5 * 0.06 / std::pow(1.0 - 0.995 * dice.uniform(), 0.45);
    const double light = dice.uniform(0.15, 0.5);
    if (kind < 0.03) fibre(layers, at, dice.uniform(0.6, 3.5), dice.uniform(0.015, 0.04), light, dice);
    if (kind < 0.03) continue;
    fleck(layers, kind < 0.5 ? "pinhole" : "dust_speck", at, radius, dice, [&](int y, int x, double cover) {
      if (kind < 0.5) {
        less(layers.film, y, x, cover);
      } else if (kind < 0.8) {
        layers.veil.at<float>(y, x) += static_cast<float>(0.35 * cover);
      } else {
        layers.dust.at<float>(y, x) = std::max(layers.dust.at<float>(y, x), static_cast<float>(cover));
        layers.dust_density.at<float>(y, x) = static_cast<float>(light);
      }
      if (cover > 0.2) layers.faulty.at<std::uint8_t>(y, x) = 255;
    });
  }
}

TrueFault paint_comet(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const double length = dice.log_uniform(3.0, 15.0);
  const double head = 0.5 * dice.uniform(0.5, 1.6);
  const double heading = dice.uniform(0.0, 2.0 * std::numbers::pi);
  const Point along{std::cos(heading), -std::sin(heading)};
  const Point at =
      somewhere(layers.frame, 0.25 * std::min(layers.frame.width_mm, layers.frame.height_mm), dice);
  const double bend = dice.uniform(-0.02, 0.02);
  const bool torn = dice.chance(0.35);
  const double silver = 0.45 * fault.strength;
  const Point reach{length + 2.0 * head, length + 2.0 * head};
  over_box(layers.frame, at - reach, at + reach, [&](Point p, int y, int x) {
    const Point from = p - at;
    const double u = from.x * along.x + from.y * along.y;
    const double v = -from.x * along.y + from.y * along.x - bend * u * u;
    double share = u > 0.0 && u < length ? std::pow(1.0 - u / length, 0.8) : 0.0;
    const double half = 0.75 * head * (0.35 + 0.65 * share);
    share *= std::exp(-0.5 * (v / half) * (v / half));
    const double core = dot_cover(std::hypot(u, v), head, layers.frame.px_per_mm);
    layers.veil.at<float>(y, x) += static_cast<float>(silver * (0.55 * share + (torn ? 0.0 : core)));
    if (torn) less(layers.film, y, x, core);
    if (share > 0.08 || core > 0.1) layers.faulty.at<std::uint8_t>(y, x) = 255;
  });
  Polygon spine;
  const Point across{-along.y, along.x};
  for (int i = 0; i <= 12; ++i) {
    const double u = -head + (length + head) * i / 12.0;
    spine.push_back(at + u * along + (u > 0.0 ? bend * u * u : 0.0) * across);
  }
  truth.outline_mm = band_outline(spine, head * 1.2);
  truth.length_mm = length + head;
  truth.width_mm = 2.0 * head;
  truth.angle_deg = screen_angle_deg(at, at + along);
  mark_outline(layers, truth);
  return truth;
}

TrueFault paint_scratch(PlateLayers& layers, const FaultOptions& fault, Dice& dice) {
  TrueFault truth;
  truth.id = fault.id;
  const double length = dice.log_uniform(8.0, 60.0);
  const double width = dice.uniform(0.08, 0.30);
  const double heading = dice.uniform(0.0, std::numbers::pi);
  const double bend = dice.uniform(-0.002, 0.002);
  const Point middle =
      somewhere(layers.frame, 0.2 * std::min(layers.frame.width_mm, layers.frame.height_mm), dice);
  const Point along{std::cos(heading), -std::sin(heading)};
  const Point across{-along.y, along.x};
  Dice gaps = dice.part(1);
  const auto skip = wandering(400, 60.0, 3.0, 0.8, gaps);
  const Point reach{length / 2.0 + 2.0, length / 2.0 + 2.0};
  over_box(layers.frame, middle - reach, middle + reach, [&](Point p, int y, int x) {
    const Point from = p - middle;
    const double u = from.x * along.x + from.y * along.y;
    const double v = from.x * across.x + from.y * across.y - bend * u * u;
    if (std::abs(u) > length / 2.0) return;
    const auto place = static_cast<std::size_t>((u / length + 0.5) * 399.0);
    const double half = width / 2.0 * std::clamp(1.0 + 0.35 * skip[place], 0.15, 1.5);
    const double cover = std::clamp(0.5 + (half - std::abs(v)) * layers.frame.px_per_mm, 0.0,
                                    std::min(1.0, 2.0 * half * layers.frame.px_per_mm));
    less(layers.film, y, x, cover * std::min(1.0, fault.strength));
    if (cover > 0.1) layers.faulty.at<std::uint8_t>(y, x) = 255;
  });
  Polygon spine;
  for (int i = 0; i <= 20; ++i) {
    const double u = length * (i / 20.0 - 0.5);
    spine.push_back(middle + u * along + (bend * u * u) * across);
  }
  truth.outline_mm = band_outline(spine, std::max(0.3, width));
  truth.length_mm = length;
  truth.width_mm = width;
  truth.angle_deg = std::fmod(screen_angle_deg(spine.front(), spine.back()), 180.0);
  mark_outline(layers, truth);
  return truth;
}

}  // namespace platewise
