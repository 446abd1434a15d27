#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "holder_opening.h"

namespace platewise {
namespace {

constexpr double kLargestRadiusShare = 0.16;  // of the shorter side
constexpr int kRadii = 28;
constexpr int kArcPlaces = 24;

// Mean tone at a point of the working picture, from the averaged picture; nearest pixel.
double tone_at(const WorkingTone& working, Point at) {
  const int x = std::clamp(static_cast<int>(at.x), 0, working.cols() - 1);
  const int y = std::clamp(static_cast<int>(at.y), 0, working.rows() - 1);
  return static_cast<double>(working.smooth.at<float>(y, x));
}

struct CornerFrame {
  Point corner;
  Point u;  // unit vectors along the two sides, away from the corner
  Point v;
};

CornerFrame corner_frame(const HolderOpening& square, std::size_t corner, const WorkingTone& working) {
  const Polygon outline = outline_of(square, working);
  const Point here = outline[corner];
  const Point before = outline[(corner + 3) % 4];
  const Point after = outline[(corner + 1) % 4];
  return {here, (1.0 / distance(here, before)) * (before - here),
          (1.0 / distance(here, after)) * (after - here)};
}

Point on_arc(const CornerFrame& frame, double radius, double angle, double outward) {
  const double reach = radius + outward;
  return frame.corner + (radius - reach * std::sin(angle)) * frame.u +
         (radius - reach * std::cos(angle)) * frame.v;
}

struct RadiusSeen {
  double radius = 0.0;
  double stepped = 0.0;  // share of the arc with a step up to the picture
};

// The radius whose arc has the steepest step from the rim's tone outside to the picture inside.
RadiusSeen best_radius(const CornerFrame& frame, const HolderOpening& opening, const WorkingTone& working) {
  const double largest = kLargestRadiusShare * std::min(working.rows(), working.cols());
  const double band = working.step_px / 2.0 + 1.0;
  const double tolerance = std::max({0.02, 4.0 * working.noise_at(opening.rim_tone), 0.3 * opening.contrast});
  const double threshold = std::max(0.02, 4.0 * working.noise_at(opening.rim_tone));
  RadiusSeen best;
  double best_score = -1.0;
  for (int i = 0; i <= kRadii; ++i) {
    const double radius = largest * i / kRadii;
    int stepped = 0;
    int broken = 0;
    double total = 0.0;
    for (int place = 0; place < kArcPlaces; ++place) {
      const double angle = CV_PI / 2.0 * (place + 0.5) / kArcPlaces;
      const double outside = tone_at(working, on_arc(frame, radius, angle, band));
      const double inside = tone_at(working, on_arc(frame, radius, angle, -band));
      broken += outside > opening.rim_tone + tolerance ? 1 : 0;
      stepped += inside - outside > threshold ? 1 : 0;
      total += std::clamp(inside - outside, -opening.contrast, opening.contrast);
    }
    constexpr double kBrokenPenalty = 2.0;
    const double score = (total / std::max(1e-6, opening.contrast) - kBrokenPenalty * broken) / kArcPlaces;
    if (score > best_score) {
      best_score = score;
      best = {radius, stepped / static_cast<double>(kArcPlaces)};
    }
  }
  return best;
}

}  // namespace

void round_corners(HolderOpening& opening, const WorkingTone& working) {
  constexpr std::array<std::array<Edge, 2>, 4> kCornerSides = {{{Edge::left, Edge::top},
                                                                {Edge::top, Edge::right},
                                                                {Edge::right, Edge::bottom},
                                                                {Edge::bottom, Edge::left}}};
  constexpr double kEnoughOfTheArc = 0.5;
  HolderOpening square = opening;
  square.radius_px.fill(0.0);
  std::vector<float> seen;
  for (std::size_t corner = 0; corner < 4; ++corner) {
    const auto [first, second] = kCornerSides[corner];
    if (!opening.sides[static_cast<std::size_t>(first)] || !opening.sides[static_cast<std::size_t>(second)])
      continue;
    const RadiusSeen found = best_radius(corner_frame(square, corner, working), opening, working);
    opening.corner_seen[corner] = found.stepped >= kEnoughOfTheArc;
    opening.radius_px[corner] = found.radius;
    if (opening.corner_seen[corner]) seen.push_back(static_cast<float>(found.radius));
  }
  // A corner lost in a dark scene is taken to be rounded as the others are.
  const double usual = seen.empty() ? 0.0 : quantile(seen, 0.5);
  for (std::size_t corner = 0; corner < 4; ++corner) {
    if (!opening.corner_seen[corner]) opening.radius_px[corner] = opening.radius_px[corner] > 0 ? usual : 0.0;
  }
}

}  // namespace platewise
