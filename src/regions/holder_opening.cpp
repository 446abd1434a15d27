#include "holder_opening.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace platewise {
namespace {

constexpr std::array kEdges = {Edge::top, Edge::right, Edge::bottom, Edge::left};
constexpr double kSure = 0.5;        // a side stands alone
constexpr double kSupported = 0.12;  // a side is believed with another of the same tone beside it

std::size_t index(Edge edge) {
  return static_cast<std::size_t>(edge);
}

constexpr double kUnevenFog = 0.05;  // D, from side to side of one plate: common practice, no source

using Lines = std::array<std::vector<SideLine>, 4>;

// How far the rim's tone may differ from side to side. Where two sides show one straight border within the
// other, bare support, rim and picture lie there in steps, and what differs as bare support does is no rim.
double uneven_fog(const Lines& lines, const WorkingTone& working) {
  constexpr double kApartHundredths = 1.2;
  constexpr double kSmallestStep = 0.02;
  constexpr double kOfTheStep = 1.0 / 3.0;
  constexpr double kLeast = 0.01;
  std::vector<float> steps;
  for (const auto& side : lines) {
    double smallest = 0.0;
    for (const SideLine& outer : side) {
      for (const SideLine& inner : side) {
        const double apart =
            std::min(inner.depth_first - outer.depth_first, inner.depth_last - outer.depth_last);
        const double step = inner.rim_tone - outer.rim_tone;
        const bool nested = std::min(outer.confidence, inner.confidence) >= kSure &&
                            apart >= kApartHundredths * working.hundredth_px &&
                            step >= std::max(kSmallestStep, 4.0 * working.noise_at(outer.rim_tone));
        if (nested && (smallest <= 0.0 || step < smallest)) smallest = step;
      }
    }
    if (smallest > 0.0) steps.push_back(static_cast<float>(smallest));
  }
  if (steps.size() < 2) return kUnevenFog;
  return std::clamp(kOfTheStep * quantile(steps, 0.5), kLeast, kUnevenFog);
}

// How well the tone outside a line agrees with the rim of the surest side.
double agreement(const SideLine& line, const SideLine& surest, const WorkingTone& working, double uneven) {
  const double spread = std::hypot(uneven, 2.0 * working.noise_at(surest.rim_tone),
                                   0.03 * std::max(line.contrast, surest.contrast));
  const double apart = (line.rim_tone - surest.rim_tone) / spread;
  return std::exp(-0.5 * apart * apart);
}

// The film's edge toward bare support can be straight too, but its step is small beside the picture's.
double standing(const SideLine& line) {
  constexpr double kSmallStep = 0.08;  // D
  return line.confidence * line.contrast / (line.contrast + kSmallStep);
}

// The line of a side that best agrees with `reference`; null when none does.
const SideLine* best_of(const std::vector<SideLine>& side, const SideLine& reference,
                        const WorkingTone& working, double uneven) {
  const SideLine* best = nullptr;
  double highest = 0.0;
  for (const SideLine& line : side) {
    const double agreed = agreement(line, reference, working, uneven);
    if (line.confidence * agreed < kSupported || standing(line) * agreed <= highest) continue;
    highest = standing(line) * agreed;
    best = &line;
  }
  return best;
}

// A sure line and how well the other sides bear out its tone.
struct Reference {
  const SideLine* line = nullptr;
  double total = 0.0;
  int sides = 0;
};

Reference reference_of(const SideLine& line, const Lines& lines, const WorkingTone& working, double uneven) {
  Reference reference{&line, 0.0, 0};
  for (const auto& side : lines) {
    const SideLine* best = best_of(side, line, working, uneven);
    if (best == nullptr) continue;
    reference.total += standing(*best) * agreement(*best, line, working, uneven);
    ++reference.sides;
  }
  return reference;
}

// The sure line whose tone the other sides bear out best: a black strip of the surround stands alone. Where
// straight borders of two tones are seen, the darker ones are the film's edge toward bare support, whose step
// is often the plainer: the lighter tone is then the rim's, if more than one side bears it out.
const SideLine* surest_of(const Lines& lines, const WorkingTone& working, double uneven) {
  std::vector<Reference> references;
  for (const auto& side : lines) {
    for (const SideLine& line : side) {
      if (line.confidence >= kSure) references.push_back(reference_of(line, lines, working, uneven));
    }
  }
  if (references.empty()) return nullptr;
  const Reference best = *std::max_element(references.begin(), references.end(),
                                           [](const auto& a, const auto& b) { return a.total < b.total; });
  constexpr double kBorneOut = 0.3;
  constexpr double kOtherTone = 0.5;  // of agreement
  Reference chosen = best;
  for (const Reference& other : references) {
    if (other.sides < 2 || other.total < kBorneOut * best.total) continue;
    if (other.line->rim_tone <= best.line->rim_tone ||
        agreement(*other.line, *best.line, working, uneven) > kOtherTone)
      continue;
    if (chosen.line == best.line || other.total > chosen.total) chosen = other;
  }
  return chosen.line;
}

// Working pixels from the edge inward that keep the rim's tone along nearly the whole side.
double rim_toned_depth(const SideView& view, const HolderOpening& opening, const WorkingTone& working) {
  const double tolerance = std::max(
      {0.02, 4.0 * working.noise_at(opening.rim_tone), 3.0 * opening.rim_spread, 0.15 * opening.contrast});
  const int begin = view.tone.rows / 10;
  const int first = working.pixels(0.8);
  int depth = first;
  for (; depth < view.tone.cols; ++depth) {
    int alike = 0;
    int all = 0;
    for (int t = begin; t < view.tone.rows - begin; ++t, ++all) {
      alike += std::abs(static_cast<double>(view.tone.at<float>(t, depth)) - opening.rim_tone) <= tolerance;
    }
    constexpr double kNearlyAll = 0.85;
    if (alike < kNearlyAll * all) break;
  }
  return depth > first + working.pixels(0.5) ? depth : 0.0;
}

struct Line {
  Point from;
  Point to;
};

// The border of a side, or the plate's edge where there is no rim, in working pixels.
Line border_line(const HolderOpening& opening, Edge edge, const WorkingTone& working, bool without_doubtful) {
  const double width = working.cols();
  const double height = working.rows();
  const auto& side = opening.sides[index(edge)];
  const double otherwise = without_doubtful ? opening.doubtful_px[index(edge)] : 0.0;
  const double first = side ? side->depth_first : otherwise;
  const double last = side ? side->depth_last : otherwise;
  switch (edge) {
    case Edge::top:
      return {{0, first}, {width, last}};
    case Edge::bottom:
      return {{0, height - first}, {width, height - last}};
    case Edge::left:
      return {{first, 0}, {last, height}};
    case Edge::right:
      return {{width - first, 0}, {width - last, height}};
  }
  return {};
}

Point crossing(const Line& a, const Line& b) {
  const Point da = a.to - a.from;
  const Point db = b.to - b.from;
  const double cross = da.x * db.y - da.y * db.x;
  const Point between = b.from - a.from;
  const double along = (between.x * db.y - between.y * db.x) / cross;
  return a.from + along * da;
}

}  // namespace

int HolderOpening::side_count() const {
  return static_cast<int>(
      std::count_if(sides.begin(), sides.end(), [](const auto& side) { return side.has_value(); }));
}

HolderOpening holder_opening(const WorkingTone& working, const cv::Mat& plate) {
  HolderOpening opening;
  std::array<SideView, 4> views;
  Lines lines;
  for (const Edge edge : kEdges) {
    views[index(edge)] = side_view(working, plate, edge);
    lines[index(edge)] = side_lines(views[index(edge)], working);
  }
  const double uneven = uneven_fog(lines, working);
  const SideLine* surest = surest_of(lines, working, uneven);
  if (surest == nullptr) return opening;
  opening.rim_tone = surest->rim_tone;
  opening.rim_spread = surest->rim_spread;
  opening.contrast = surest->contrast;
  double doubt = 1.0;
  for (const Edge edge : kEdges) {
    const SideLine* best = best_of(lines[index(edge)], *surest, working, uneven);
    if (best != nullptr) {
      opening.sides[index(edge)] = *best;
      doubt *= 1.0 - std::min(0.9, best->confidence * agreement(*best, *surest, working, uneven));
    } else {
      opening.doubtful_px[index(edge)] = rim_toned_depth(views[index(edge)], opening, working);
    }
  }
  opening.confidence = 1.0 - doubt;
  round_corners(opening, working);
  return opening;
}

Polygon outline_of(const HolderOpening& opening, const WorkingTone& working, bool without_doubtful) {
  constexpr std::array<std::array<Edge, 2>, 4> kCornerSides = {{{Edge::left, Edge::top},
                                                                {Edge::top, Edge::right},
                                                                {Edge::right, Edge::bottom},
                                                                {Edge::bottom, Edge::left}}};
  std::array<Point, 4> corners;
  for (std::size_t corner = 0; corner < 4; ++corner) {
    corners[corner] = crossing(border_line(opening, kCornerSides[corner][0], working, without_doubtful),
                               border_line(opening, kCornerSides[corner][1], working, without_doubtful));
  }
  constexpr int kChords = 8;
  Polygon outline;
  for (std::size_t corner = 0; corner < 4; ++corner) {
    const double radius = opening.radius_px[corner];
    const Point here = corners[corner];
    if (radius <= 0.0) {
      outline.push_back(here);
      continue;
    }
    const Point before = corners[(corner + 3) % 4];
    const Point after = corners[(corner + 1) % 4];
    const Point u = (1.0 / distance(here, before)) * (before - here);
    const Point v = (1.0 / distance(here, after)) * (after - here);
    for (int chord = 0; chord <= kChords; ++chord) {
      const double angle = std::numbers::pi / 2.0 * chord / kChords;
      outline.push_back(here + (radius * (1.0 - std::sin(angle))) * u +
                        (radius * (1.0 - std::cos(angle))) * v);
    }
  }
  return outline;
}

}  // namespace platewise
