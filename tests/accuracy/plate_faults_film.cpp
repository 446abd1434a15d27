// Film that is missing: never there, torn out, or lifted from an edge.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "accuracy/plate_faults_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout::brush {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr double kBeyondMm = 2.5;  // outlines reach over the plate's edge

cv::Mat softened(const Canvas& canvas, const cv::Mat& image, double mm) {
  cv::Mat out;
  cv::GaussianBlur(image, out, {}, std::max(0.3, mm * canvas.px_per_mm));
  return out;
}

double extent(const Polygon& outline) {
  double longest = 0.0;
  for (std::size_t i = 0; i < outline.size(); i += 3)
    for (std::size_t j = i + 1; j < outline.size(); j += 3)
      longest = std::max(longest, distance(outline[i], outline[j]));
  return longest;
}

// Bounded by the pool's edge: bulging film leaves a concave corner, a thumb leaves a round one.
Polygon missed_corner(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double a = random.log_uniform(2.5, 0.35 * frame.length_mm);
  const double b = std::clamp(a * random.log_uniform(0.5, 2.0), 2.0, 0.35 * frame.depth_mm);
  const double power = random.uniform(0.75, 1.9);
  const Wobble wobble(random, 60.0, 8.0);
  Polygon outline{frame.at(-kBeyondMm, -kBeyondMm), frame.at(a, -kBeyondMm)};
  constexpr int kSteps = 60;
  for (int i = 0; i <= kSteps; ++i) {
    const double angle = std::numbers::pi / 2.0 * i / kSteps;
    const double s = a * std::pow(std::cos(angle), 2.0 / power);
    const double t = b * std::pow(std::sin(angle), 2.0 / power);
    const double r = 1.0 + 0.07 * wobble(40.0 * i / kSteps);
    outline.push_back(frame.at(r * s, r * t));
  }
  outline.push_back(frame.at(-kBeyondMm, b));
  return outline;
}

// A side the pool never reached: a shallow bay.
Polygon missed_side(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double length = random.uniform(0.15, 0.6) * frame.length_mm;
  const double depth = random.log_uniform(2.5, 9.0);
  const double from = random.uniform(0.0, frame.length_mm - length);
  const Wobble wobble(random, length + 10.0, 10.0);
  Polygon outline{frame.at(from + length, -kBeyondMm), frame.at(from, -kBeyondMm)};
  constexpr int kSteps = 60;
  for (int i = 0; i <= kSteps; ++i) {
    const double u = static_cast<double>(i) / kSteps;
    const double t =
        depth * std::pow(std::sin(std::numbers::pi * u), 0.7) * (1.0 + 0.25 * wobble(length * u));
    outline.push_back(frame.at(from + length * u, t));
  }
  return outline;
}

// Straight rips and short bites in turn round a long hole.
Polygon ragged_hole(Random& random, Point centre, double length, double width, double lean) {
  Polygon outline;
  const int corners = random.integer(9, 22);
  for (int i = 0; i < corners; ++i) {
    const double angle = kTurn * (i + random.uniform(-0.35, 0.35)) / corners;
    const double r = random.uniform(0.6, 1.0);
    const double u = 0.5 * length * r * std::cos(angle);
    const double v = 0.5 * width * r * std::sin(angle);
    outline.push_back(
        centre + Point{u * std::cos(lean) - v * std::sin(lean), u * std::sin(lean) + v * std::cos(lean)});
  }
  return outline;
}

}  // namespace

Stroke uncovered_corner(Random& random, const Canvas& canvas) {
  const Polygon outline = random.chance(0.7) ? missed_corner(random, canvas) : missed_side(random, canvas);
  Stroke stroke;
  stroke.film_removed = cover(canvas, outline, random.uniform(0.02, 0.08));
  // The collodion is a little thicker where it stopped.
  const double bead_mm = random.uniform(0.3, 0.9);
  const cv::Mat near = softened(canvas, stroke.film_removed, bead_mm).mul(1.0 - stroke.film_removed);
  const double bead = random.chance(0.7) ? random.uniform(0.03, 0.2) : 0.0;
  stroke.silver_added = bead * near.mul(canvas.silver + 0.1);
  const double length = extent(outline);
  stroke.shapes.push_back({{outline}, length, area(outline) / std::max(length, 0.1), 0.0});
  return stroke;
}

Stroke tear_hole(Random& random, const Canvas& canvas) {
  Stroke stroke;
  stroke.film_removed = cv::Mat::zeros(canvas.size(), CV_32FC1);
  stroke.silver_added = cv::Mat::zeros(canvas.size(), CV_32FC1);
  const double lean = random.uniform(0.0, kTurn);  // along the wash: all of one plate
  for (int i = random.integer(1, 3); i > 0; --i) {
    const double length = random.log_uniform(2.0, 22.0);
    const double width = std::max(1.0, length * random.log_uniform(0.2, 0.9));
    const Point centre = place_mm(random, canvas, 6.0);
    const Polygon outline = ragged_hole(random, centre, length, width, lean + random.normal(0.0, 0.2));
    const cv::Mat hole = cover(canvas, outline, 0.02);
    // The torn film lies folded on one side: double film, a hard outer fold, a shadow beside it.
    const double lip_mm = std::min(random.uniform(0.4, 1.6), 0.35 * width);
    const double toward = random.uniform(0.0, kTurn);
    Polygon moved = outline;
    for (Point& p : moved) p = p + lip_mm * Point{std::cos(toward), std::sin(toward)};
    const cv::Mat flap = cover(canvas, moved, 0.04).mul(1.0 - hole);
    const cv::Mat folds = 1.0 + 0.5 * wander(random, canvas, 0.8, 3);
    stroke.silver_added += flap.mul(folds).mul(0.6 * canvas.silver + 0.05);
    stroke.film_removed = cv::max(stroke.film_removed, hole);
    double angle = std::fmod(-lean * 180.0 / std::numbers::pi + 720.0, 180.0);
    stroke.shapes.push_back({{outline}, length, width, angle});
  }
  return stroke;
}

Stroke frilling(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double length = std::min(random.log_uniform(8.0, 60.0), 0.8 * frame.length_mm);
  const double depth = random.log_uniform(2.5, 12.0);
  const double folds_mm = random.uniform(2.0, 5.0);
  const double from = random.uniform(0.0, frame.length_mm - length);
  const Wobble torn(random, frame.length_mm, random.uniform(1.5, 4.0), 5);
  const Wobble slow(random, frame.length_mm, 14.0);
  const Wobble crest(random, frame.length_mm, 5.0, 3);
  const double fold_mm = random.uniform(0.7, 1.6);
  const auto lip = [&](double s) {
    const double u = (s - from) / length;
    if (u <= 0.0 || u >= 1.0) return -1.0;
    const double arch = std::pow(std::sin(std::numbers::pi * u), 0.5);
    return arch * depth * (0.75 + 0.35 * slow(s) + 0.3 * torn(s));
  };
  Stroke stroke;
  stroke.film_removed = field(canvas, [&](Point p) {
    const double to = lip(frame.s(p)) - frame.t(p);
    return ramp(-0.06, 0.06, to);
  });
  // Folds run with the torn lip and die out inwards; crests are double film, troughs are stretched.
  const cv::Mat folds = field(canvas, [&](Point p) {
    const double s = frame.s(p);
    const double edge = lip(s);
    if (edge < 0.0) return 0.0;
    const double in = frame.t(p) - edge;
    if (in < 0.0 || in > folds_mm) return 0.0;
    const double wave = std::sin(kTurn * (in + 0.6 * crest(s)) / fold_mm + 2.0 * crest(2.0 * s));
    return (wave > 0.3 ? 1.0 : -0.5) * ramp(folds_mm, 0.0, in);
  });
  stroke.silver_added = folds.mul(0.5 * canvas.silver + 0.05);
  Polygon outline{frame.at(from + length, -1.0), frame.at(from, -1.0)};
  for (double u = 0.0; u <= 1.0; u += 0.02) {
    const double s = from + length * u;
    outline.push_back(frame.at(s, std::max(lip(s), 0.0) + 0.35 * folds_mm));
  }
  stroke.shapes.push_back({{outline}, length, depth, 0.0});
  return stroke;
}

}  // namespace platewise::heldout::brush
