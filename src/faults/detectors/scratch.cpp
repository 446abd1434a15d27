#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "../dark_lines.h"
#include "../line_look.h"
#include "../plate_masks.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

// Handbook: "thin straight or slightly bent sharp line, film removed", 0.05-1 mm wide, 3-200 mm long. Below
// 7.5 mm a twig, a hair or a stroke of writing looks the same. The rest is common practice, no source.
constexpr double kShortestUnits = 5.0;  // of lines that are looked at, as background too
constexpr double kShortestScratchUnits = 7.5;
constexpr double kWidestPx = 5.0;  // sharp: as narrow as the scan resolves
constexpr double kWidestUnits = 1.0;
constexpr double kMostBow = 0.03;
constexpr double kMostWigglePx = 0.25;
constexpr double kMostLopsided = 0.3;
constexpr double kMostLopsidedHere = 0.45;  // in half of its pieces: it crosses edges of the picture
constexpr double kLeastAgreeing = 0.85;
constexpr double kMostGoesOn = 0.6;  // a line that only bends away is the picture's
constexpr double kBeyondUnits = 2.5;
constexpr double kBorderUnits = 2.0;  // inside the film that counts, itself 1 mm inside the edge
constexpr double kLeastDepthPerGrain = 3.0;

// A line of this plate, with the picture's own among them.
struct Line {
  DarkLine path;
  LineLook look;
  double length = 0.0;  // units
};

bool is_a_line(const LineLook& look, const Evidence& evidence) {
  constexpr double kAgreeing = 0.75;
  constexpr double kLopsided = 0.5;
  return look.depth >= kLeastDepthPerGrain * evidence.grain && look.agreeing >= kAgreeing &&
         look.lopsided <= kLopsided;
}

bool is_like_a_scratch(const Line& line, double px_per_unit) {
  const LineLook& look = line.look;
  return look.width_px <= kWidestPx && look.width_px <= kWidestUnits * px_per_unit &&
         line.path.bow_px <= kMostBow * line.path.length_px && look.wiggle_px <= kMostWigglePx &&
         look.lopsided <= kMostLopsided && look.lopsided_here <= kMostLopsidedHere &&
         look.agreeing >= kLeastAgreeing;
}

// Rails, bars, strands of hair and courses of brick come in company: alike, nearly parallel, side by side.
bool is_company(const Line& line, const Line& other, double px_per_unit) {
  constexpr double kTurn = 0.14;  // sine
  constexpr double kNearestUnits = 0.8;
  constexpr double kFarthestUnits = 15.0;
  const auto& spine = line.path.spine;
  const cv::Point2d chord = spine.back() - spine.front();
  const cv::Point2d along = chord / std::hypot(chord.x, chord.y);
  const auto& other_spine = other.path.spine;
  const cv::Point2d other_chord = other_spine.back() - other_spine.front();
  if (std::abs(along.cross(other_chord)) > kTurn * std::hypot(other_chord.x, other_chord.y)) return false;
  const cv::Point2d middle = 0.5 * (other_spine.front() + other_spine.back()) - spine.front();
  const double apart = std::abs(middle.cross(along)) / px_per_unit;
  if (apart < kNearestUnits || apart > kFarthestUnits) return false;
  const double from = (other_spine.front() - spine.front()).dot(along);
  const double to = (other_spine.back() - spine.front()).dot(along);
  const double beside = std::min(std::max(from, to), line.path.length_px) - std::max(std::min(from, to), 0.0);
  return beside >= 0.3 * std::min(line.path.length_px, other.path.length_px) &&
         other.length > 0.4 * line.length && other.look.depth > 0.3 * line.look.depth;
}

// log10 of the share of lines that are as straight, about a smooth bend, by chance: a tool or a grain of grit
// is drawn across in one stroke, a twig, a fold or a hair wanders. Of the plate's own lines; few say little,
// so that twelve usual ones count among them, whose logarithms of the wiggle are normal about that of
// 0.43 px with quartiles of 0.28 and 0.66, as of two thousand lines of development pictures.
double log10_so_straight(const Line& line, const std::vector<Line>& all) {
  constexpr double kUsual = 12.0;
  constexpr double kUsualWigglePx = 0.43;
  constexpr double kUsualSpread = 0.64;
  constexpr double kLeastWigglePx = 0.1;  // sampling and grain
  const double wiggle = std::max(kLeastWigglePx, line.look.wiggle_px);
  double lines = kUsual;
  double as_straight =
      kUsual * std::pow(10.0, log10_normal_tail(std::log(kUsualWigglePx / wiggle) / kUsualSpread));
  for (const Line& other : all) {
    if (&other == &line) continue;
    lines += 1.0;
    as_straight += other.look.wiggle_px <= wiggle ? 1.0 : 0.0;
  }
  return std::log10(as_straight / lines);
}

bool is_upright_or_level(const Line& line) {
  constexpr double kTurn = 0.045;  // sine; a picture is hardly more askew
  const cv::Point2d chord = line.path.spine.back() - line.path.spine.front();
  return std::min(std::abs(chord.x), std::abs(chord.y)) < kTurn * std::hypot(chord.x, chord.y);
}

// The background is this plate's own lines: of N lines none is expected to be longer than l when
//   NFA = N exp(-(l - shortest) / extra)
// is small, `extra` the length by which half of the plate's other lines exceed the shortest, over ln 2
// (straight pieces of random pictures end at a constant rate). Few lines tell little, and may be scratches
// themselves: four usual ones that exceed it by 1.5 mm are counted among them (common practice, no source). A
// plate of bare grain has no line, so at least one is counted. Where an end meets something dark, one
// hypothesis more (the picture's own line) stands against the scratch; it costs two decades (common practice,
// no source), and two more where it is upright or level as poles, bars and horizons are.
double log10_nfa_of(const Line& line, const std::vector<Line>& all, double px_per_unit) {
  constexpr double kUsualExtraUnits = 1.5;
  constexpr std::size_t kUsualLines = 4;
  std::vector<double> beyond_shortest(kUsualLines, kUsualExtraUnits * std::numbers::ln2);
  for (const Line& other : all)
    if (&other != &line && is_like_a_scratch(other, px_per_unit))
      beyond_shortest.push_back(other.length - kShortestUnits);
  const double extra = std::max(kUsualExtraUnits, median(beyond_shortest) / std::numbers::ln2);
  constexpr double kJoinedCosts = 2.0;
  constexpr double kUprightCosts = 2.0;
  const bool joined = line.look.joined[0] || line.look.joined[1];
  const auto lines = static_cast<double>(1 + beyond_shortest.size() - kUsualLines);
  return (joined ? kJoinedCosts : 0.0) + (is_upright_or_level(line) ? kUprightCosts : 0.0) +
         std::log10(lines) + log10_so_straight(line, all) -
         (line.length - kShortestUnits) / extra / std::numbers::ln10;
}

// The edge of plate or film draws its own line, and so does the gap between two pictures on one plate, from
// side to side.
bool is_border(const Line& line, const cv::Mat& to_border, double near_px) {
  const auto is_near = [&](const cv::Point2d& p) {
    return to_border.at<float>(static_cast<int>(p.y), static_cast<int>(p.x)) < near_px;
  };
  const auto& spine = line.path.spine;
  const bool from_side_to_side = is_upright_or_level(line) && is_near(spine.front()) && is_near(spine.back());
  return from_side_to_side ||
         2 * std::count_if(spine.begin(), spine.end(), is_near) > static_cast<std::ptrdiff_t>(spine.size());
}

Candidate scratch_of(const Line& line, const Evidence& evidence, double log10_nfa) {
  const double k = evidence.px_per_unit;
  const auto& spine = line.path.spine;
  const Point first{spine.front().x, spine.front().y};
  const Point last{spine.back().x, spine.back().y};
  Candidate candidate{.id = "scratch",
                      .length = line.length,
                      .width = line.look.width_px / k,
                      .angle_deg = std::fmod(screen_angle_deg(first, last), 180.0),
                      .contrast = line.look.depth,
                      .log10_nfa = log10_nfa,
                      .confidence = std::clamp(0.55 - 0.05 * log10_nfa, 0.3, 0.95)};
  const cv::Point2d chord = spine.back() - spine.front();
  const double half = std::max(1.0, 0.5 * line.look.width_px) / std::hypot(chord.x, chord.y);
  const cv::Point2d across(-half * chord.y, half * chord.x);
  const auto step = std::max<std::size_t>(1, spine.size() / 12);
  std::vector<cv::Point2d> points;
  for (std::size_t i = 0; i + 1 < spine.size(); i += step) points.push_back(spine[i]);
  points.push_back(spine.back());
  for (const cv::Point2d& p : points)
    candidate.outline_units.push_back({(p.x + across.x) / k, (p.y + across.y) / k});
  for (auto p = points.rbegin(); p != points.rend(); ++p)
    candidate.outline_units.push_back({(p->x - across.x) / k, (p->y - across.y) / k});
  candidate.area = area(candidate.outline_units);
  return candidate;
}

}  // namespace

std::vector<Candidate> scratch(const Evidence& evidence) {
  const double k = evidence.px_per_unit;
  std::vector<Line> lines;
  for (const DarkLine& traced :
       dark_lines(evidence.silver, evidence.film.inside, evidence.grain, kShortestUnits * k)) {
    DarkLine path = trimmed(evidence.silver, traced);
    if (path.length_px < kShortestUnits * k) continue;
    LineLook look = look_of(evidence.silver, path, kBeyondUnits * k);
    DarkLine moved = centred(evidence.silver, path);
    if (const LineLook better = look_of(evidence.silver, moved, kBeyondUnits * k);
        better.depth > look.depth) {
      path = std::move(moved);
      look = better;
    }
    const double length = path.length_px / k;
    if (is_a_line(look, evidence)) lines.push_back({std::move(path), look, length});
  }
  const cv::Mat to_border = distance_within(evidence.film.inside);
  std::vector<Candidate> candidates;
  for (const Line& line : lines) {
    if (!is_like_a_scratch(line, k) || line.length < kShortestScratchUnits ||
        std::max(line.look.goes_on[0], line.look.goes_on[1]) > kMostGoesOn ||
        is_border(line, to_border, kBorderUnits * k))
      continue;
    const bool has_company = std::any_of(lines.begin(), lines.end(), [&](const Line& other) {
      return &other != &line && is_company(line, other, k);
    });
    if (!has_company) candidates.push_back(scratch_of(line, evidence, log10_nfa_of(line, lines, k)));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
