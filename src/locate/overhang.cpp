#include "overhang.h"

#include <algorithm>
#include <array>
#include <opencv2/core.hpp>

#include "side_evidence.h"

namespace platewise {
namespace {

constexpr std::size_t kTop = 0;
constexpr std::size_t kRight = 1;
constexpr std::size_t kBottom = 2;
constexpr std::size_t kLeft = 3;

bool is_steep(std::size_t side) {
  return side % 2 == 1;
}

// Ground lies below the bottom and right of the right side.
bool ground_after(std::size_t side) {
  return side != kTop && side != kLeft;
}

double frame_at(std::size_t side, const SearchImage& search) {
  if (!ground_after(side)) return 0.0;
  return is_steep(side) ? search.cols() : search.rows();
}

Line line_of(const Quad& corners, std::size_t side) {
  return line_through(corners[side], corners[(side + 1) % 4], is_steep(side));
}

// Beyond the corner the same two meet at the line as along the plate: its rim and the ground.
bool same_on_both_sides(const SearchImage& search, const Line& line, bool after, std::array<double, 2> own,
                        std::array<double, 2> beyond) {
  constexpr double kBeside_px = 4.0;
  constexpr double kSame = 0.25;  // of the step between rim and ground
  const cv::Mat lightness = one_channel(search);
  const double outward = after ? kBeside_px : -kBeside_px;
  const auto tone = [&](std::array<double, 2> of, double off) {
    const Point across = line.steep ? Point{off, 0.0} : Point{0.0, off};
    return middle_lightness(lightness, line.at(of[0]) + across, line.at(of[1]) + across);
  };
  const auto tones = [&](std::array<double, 2> of) {
    return std::array<double, 2>{tone(of, outward), tone(of, -outward)};
  };
  const auto here = tones(own);
  const auto there = tones(beyond);
  const double step = std::abs(here[0] - here[1]);
  return std::abs(here[0] - there[0]) < kSame * step && std::abs(here[1] - there[1]) < kSame * step;
}

// Whether the edge `neighbour` is seen on from its corner with `side` to the frame.
bool goes_on(const OutlineCandidate& candidate, std::size_t side, std::size_t neighbour,
             const SearchImage& search) {
  constexpr double kSeenOn = 0.7;  // of the way
  constexpr double kLeast_px = 4.0;
  constexpr double kLastPart = 0.5;  // an edge that stops short of the frame is the plate's own
  constexpr double kShort_px = 8.0;  // too short to tell that
  const Point corner = candidate.corners[neighbour == (side + 1) % 4 ? neighbour : side];
  const double at = is_steep(neighbour) ? corner.y : corner.x;
  const double frame = frame_at(side, search);
  if (std::abs(frame - at) < kLeast_px) return false;
  const Line line = line_of(candidate.corners, neighbour);
  const bool after = ground_after(neighbour);
  const double from = at + (frame > at ? 1.0 : -1.0);  // the corner itself is blurred
  const double last = std::abs(frame - from) < kShort_px ? from : frame - kLastPart * (frame - from);
  const SideEvidence evidence(search, line);
  for (const double start : {from, last}) {
    const auto seen = evidence.count(after, std::min(start, frame), std::max(start, frame));
    if (seen.supported < kSeenOn * std::abs(frame - start)) return false;
  }
  const Point other = candidate.corners[neighbour == (side + 1) % 4 ? (side + 2) % 4 : (side + 3) % 4];
  return same_on_both_sides(search, line, after, {at, is_steep(neighbour) ? other.y : other.x},
                            {last, frame});
}

// What the two neighbours of a side say of its going on beyond the frame.
struct Neighbours {
  bool near_enough = false;  // the frame is no farther than a rim is wide
  int going_on = 0;
  std::array<bool, 4> not_going_on{};  // by side
};

Neighbours neighbours_of(const OutlineCandidate& candidate, std::size_t side, const SearchImage& search) {
  constexpr double kWidestRim = 0.14;  // of the plate's side
  const Quad& c = candidate.corners;
  const Point middle = 0.5 * (c[side] + c[(side + 1) % 4]);
  const double at = is_steep(side) ? middle.x : middle.y;
  const double across =
      0.5 * (distance(c[(side + 1) % 4], c[(side + 2) % 4]) + distance(c[side], c[(side + 3) % 4]));
  Neighbours neighbours;
  neighbours.near_enough = std::abs(frame_at(side, search) - at) <= kWidestRim * across;
  if (!neighbours.near_enough || candidate.at_frame[side]) return neighbours;
  for (const std::size_t neighbour : {(side + 1) % 4, (side + 3) % 4}) {
    if (candidate.at_frame[neighbour]) continue;
    const bool on = goes_on(candidate, side, neighbour, search);
    neighbours.going_on += on ? 1 : 0;
    neighbours.not_going_on[neighbour] = !on;
  }
  return neighbours;
}

// Where the plate reaches over a corner of the scan, the opening has two such sides that end at each other:
// each has only its other neighbour to tell.
std::array<bool, 4> sides_beyond(const OutlineCandidate& candidate, const SearchImage& search) {
  std::array<Neighbours, 4> all;
  for (std::size_t side = 0; side < 4; ++side) all[side] = neighbours_of(candidate, side, search);
  std::array<bool, 4> beyond{};
  for (std::size_t side = 0; side < 4; ++side) {
    beyond[side] = all[side].near_enough && all[side].going_on > 0;
    for (const std::size_t neighbour : {(side + 1) % 4, (side + 3) % 4}) {
      beyond[side] = beyond[side] && (!all[side].not_going_on[neighbour] || all[neighbour].going_on > 0);
    }
  }
  return beyond;
}

}  // namespace

void end_at_frame(OutlineCandidate& candidate, const SearchImage& search) {
  const std::array<bool, 4> beyond = sides_beyond(candidate, search);
  std::array<Line, 4> lines;
  for (std::size_t side = 0; side < 4; ++side) {
    lines[side] = line_of(candidate.corners, side);
    if (!beyond[side]) continue;
    lines[side] = {is_steep(side), frame_at(side, search), 0.0};
    candidate.at_frame[side] = true;
    candidate.support[side] = 0.0;
    candidate.reaches_over = true;
  }
  if (!candidate.reaches_over) return;
  candidate.quality += candidate.going_on;  // it is explained now
  candidate.going_on = 0.0;
  candidate.corners = {intersection(lines[kTop], lines[kLeft]), intersection(lines[kTop], lines[kRight]),
                       intersection(lines[kBottom], lines[kRight]),
                       intersection(lines[kBottom], lines[kLeft])};
}

}  // namespace platewise
