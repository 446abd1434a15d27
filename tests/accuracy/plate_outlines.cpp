#include "accuracy/plate_outlines.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr int kPointsPerSide = 240;

// Offset along a side of length 1: three sines and a smoothed random walk.
std::vector<double> wander(Random& random, double sines, double walk) {
  std::vector<double> offset(kPointsPerSide + 1, 0.0);
  for (int wave = 0; wave < 3; ++wave) {
    const double turns = random.uniform(0.4, 4.0 + 4.0 * wave);
    const double phase = random.uniform(0.0, kTurn);
    const double height = sines * random.uniform(0.2, 1.0) / (1.0 + wave);
    for (int i = 0; i <= kPointsPerSide; ++i)
      offset[static_cast<std::size_t>(i)] += height * std::sin(kTurn * turns * i / kPointsPerSide + phase);
  }
  double position = 0.0;
  double velocity = 0.0;
  for (double& value : offset) {
    velocity = 0.85 * velocity + random.normal(0.0, walk);
    position = 0.97 * position + velocity;
    value += position;
  }
  return offset;
}

std::vector<Point> side(Point from, Point to, const std::vector<double>& inward) {
  const double length = distance(from, to);
  const Point along = (1.0 / length) * (to - from);
  const Point normal{-along.y, along.x};  // inward for clockwise sides with +y down
  std::vector<Point> points;
  for (int i = 0; i <= kPointsPerSide; ++i)
    points.push_back(from + (length * i / kPointsPerSide) * along +
                     inward[static_cast<std::size_t>(i)] * normal);
  return points;
}

void chip(Random& random, std::vector<double>& inward, double side_mm) {
  const int centre = random.integer(20, kPointsPerSide - 20);
  const double depth = random.log_uniform(0.2, 1.6);
  const int half = std::max(2, static_cast<int>(depth * random.uniform(0.7, 2.0) / side_mm * kPointsPerSide));
  for (int i = std::max(0, centre - half); i <= std::min(kPointsPerSide, centre + half); ++i) {
    const double t = (i - centre) / static_cast<double>(half);
    inward[static_cast<std::size_t>(i)] +=
        depth * std::sqrt(std::max(0.0, 1.0 - t * t)) * random.uniform(0.7, 1.0);
  }
}

// Replaces the corner point by a curve or a cut that starts `reach` before and ends `reach` after it.
void add_corner(Random& random, Polygon& outline, Point before, Point corner, Point after, CornerCut cut,
                double reach) {
  const Point back = (1.0 / distance(corner, before)) * (before - corner);
  const Point forth = (1.0 / distance(corner, after)) * (after - corner);
  const Point first = corner + reach * back;
  const Point last = corner + reach * forth;
  if (cut == CornerCut::sharp) {
    outline.push_back(corner);
  } else if (cut == CornerCut::clipped) {
    outline.push_back(first);
    outline.push_back(corner + random.uniform(0.6, 1.4) * reach * forth);
  } else {
    for (int i = 0; i <= 16; ++i) {
      const double t = i / 16.0;
      Point p = (1 - t) * (1 - t) * first + 2 * t * (1 - t) * corner + t * t * last;
      if (cut == CornerCut::broken) {
        const double in = reach * random.uniform(0.0, 0.35);
        p = p + in * (back + forth);
      }
      outline.push_back(p);
    }
  }
}

std::array<Point, 4> inset_rectangle(const PlatePlan& plan, const std::array<double, 4>& inset) {
  return {Point{inset[3], inset[0]}, Point{plan.width_mm - inset[1], inset[0]},
          Point{plan.width_mm - inset[1], plan.height_mm - inset[2]},
          Point{inset[3], plan.height_mm - inset[2]}};
}

// A corner the collodion did not reach: a curve from one side to the other, or a finger's round mark.
Polygon bite(Random& random, Point corner, Point centre) {
  const double sx = centre.x > corner.x ? 1.0 : -1.0;
  const double sy = centre.y > corner.y ? 1.0 : -1.0;
  const double a = random.log_uniform(3.0, 15.0);
  const double b = a * random.uniform(0.5, 1.8);
  const double bulge = random.uniform(0.6, 2.2);  // below 1 hollow, above 1 round
  const std::vector<double> rough = wander(random, 0.06, 0.004);
  Polygon outline{{corner.x - 5 * sx, corner.y - 5 * sy}, {corner.x + a * sx, corner.y - 5 * sy}};
  for (int i = 0; i <= 60; ++i) {
    const double angle = i / 60.0 * kTurn / 4.0;
    const double swell = 1.0 + rough[static_cast<std::size_t>(4 * i)];
    outline.push_back({corner.x + sx * a * swell * std::pow(std::cos(angle), 1.0 / bulge),
                       corner.y + sy * b * swell * std::pow(std::sin(angle), 1.0 / bulge)});
  }
  outline.push_back({corner.x - 5 * sx, corner.y + b * sy});
  return outline;
}

}  // namespace

cv::Mat filled(const Polygon& outline_mm, cv::Size size, double px_per_mm, double border_mm) {
  constexpr int kShift = 4;
  std::vector<cv::Point> points;
  for (const Point p : outline_mm)
    points.emplace_back(static_cast<int>(std::lround(((p.x + border_mm) * px_per_mm - 0.5) * (1 << kShift))),
                        static_cast<int>(std::lround(((p.y + border_mm) * px_per_mm - 0.5) * (1 << kShift))));
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1);
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255), cv::LINE_AA, kShift);
  return mask;
}

CutPlate cut_plate(Random& random, const PlatePlan& plan) {
  std::array<Point, 4> corner = inset_rectangle(plan, {0, 0, 0, 0});
  for (Point& p : corner) p = p + Point{random.normal(0, 0.25), random.normal(0, 0.25)};
  CutPlate plate;
  for (std::size_t i = 0; i < 4; ++i) {
    const Point next = corner[(i + 1) % 4];
    std::vector<double> inward = wander(random, random.uniform(0.0, 0.18), random.uniform(0.0, 0.008));
    const int chips = random.chance(0.4) ? random.integer(1, 5) : 0;
    for (int c = 0; c < chips; ++c) chip(random, inward, distance(corner[i], next));
    plate.sides_mm[i] = side(corner[i], next, inward);
  }
  const double reach = plan.corners == CornerCut::sharp ? 0.0 : random.log_uniform(1.5, 7.0);
  for (std::size_t i = 0; i < 4; ++i) {
    const auto& points = plate.sides_mm[i];
    const auto& previous = plate.sides_mm[(i + 3) % 4];
    CornerCut cut = plan.corners;
    if (cut == CornerCut::broken && random.chance(0.5)) cut = CornerCut::sharp;
    add_corner(random, plate.outline_mm, previous.front(), points.front(), points.back(), cut, reach);
    const double clear = cut == CornerCut::sharp ? 0.0 : reach * 1.45;
    for (const Point p : points)
      if (distance(p, points.front()) > clear && distance(p, points.back()) > reach * 1.45)
        plate.outline_mm.push_back(p);
  }
  return plate;
}

FilmEdge film_edge(Random& random, const PlatePlan& plan) {
  FilmEdge edge;
  std::array<double, 4> inset{};
  for (double& value : inset)
    value = plan.film_to_the_edge || random.chance(0.45) ? -1.5 : random.log_uniform(0.3, 3.5);
  const std::array<Point, 4> corner = inset_rectangle(plan, inset);
  for (std::size_t i = 0; i < 4; ++i) {
    const bool over = inset[i] < 0.0;
    const std::vector<double> inward =
        wander(random, over ? 0.1 : random.uniform(0.1, 0.7), over ? 0.0 : random.uniform(0.005, 0.05));
    const std::vector<Point> points = side(corner[i], corner[(i + 1) % 4], inward);
    edge.outline_mm.insert(edge.outline_mm.end(), points.begin(), points.end());
  }
  const Point centre{plan.width_mm / 2, plan.height_mm / 2};
  const std::array<Point, 4> nominal = inset_rectangle(plan, {0, 0, 0, 0});
  const std::size_t holding = static_cast<std::size_t>(random.integer(0, 3));
  for (std::size_t i = 0; i < 4; ++i) {
    if (!plan.bare_corners || !random.chance(i == holding ? 0.7 : 0.12)) continue;
    edge.bites_mm.push_back(bite(random, nominal[i], centre));
    edge.bare_corner[i] = true;
  }
  return edge;
}

Polygon holder_opening(Random& random, const PlatePlan& plan) {
  constexpr double kOutside = -6.0;
  std::array<double, 4> inset{};
  for (double& value : inset) value = random.uniform(1.2, 7.0);
  const auto first = static_cast<std::size_t>(random.integer(0, 3));
  if (plan.rim == RimSides::three) inset[first] = kOutside;
  if (plan.rim == RimSides::two) {
    inset[first] = kOutside;
    inset[(first + (random.chance(0.6) ? 2U : 1U)) % 4] = kOutside;
  }
  if (plan.rim == RimSides::none) inset.fill(kOutside);
  std::array<Point, 4> corner = inset_rectangle(plan, inset);
  for (Point& p : corner) p = p + Point{random.normal(0, 0.3), random.normal(0, 0.3)};
  const int style = random.integer(0, 3);
  Polygon outline;
  for (std::size_t i = 0; i < 4; ++i) {
    const CornerCut cut =
        style == 0 ? CornerCut::sharp : (style == 3 ? CornerCut::clipped : CornerCut::rounded);
    add_corner(random, outline, corner[(i + 3) % 4], corner[i], corner[(i + 1) % 4], cut,
               random.uniform(1.0, 6.0));
  }
  return outline;
}

}  // namespace platewise::heldout
