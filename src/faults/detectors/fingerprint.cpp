#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "../ridge_blocks.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

// Crest to crest on an adult's finger about half a millimetre, a child's less (common practice, no source).
constexpr double kLeastPitch_mm = 0.36;
constexpr double kMostPitch_mm = 0.65;
// Handbook: "8-25" long; a part of one may be all that is plain.
constexpr double kLeastLength_mm = 5.0;
constexpr double kMostLength_mm = 30.0;
// Next to each other, ridges turn no more than this and keep their pitch.
constexpr double kMostTurn = 0.45;  // rad
constexpr double kPitchRatio = 1.25;
constexpr double kFitByChance = 0.3;  // kMostTurn over a quarter turn
// Of grain alone, of one to three pixels, one square in 50 has a strength of 4 and hardly one in 500 this;
// hair and grass, whose strands come in all distances, seldom reach it.
constexpr double kPlain = 9.0;
constexpr double kPlainByGrain = 0.002;
// For each square about four ways on are open to a group that grows (polyominoes).
constexpr double kLog10Shapes = 0.6;
// A finger's ridges bend; cloth, railings and rows of bricks run straight. Length of the mean of the doubled
// directions: 1 for one direction, 0.92 where they spread over +-20 degrees, 0.7 over +-40. Combed hair and a
// fork of branches bend a little, in small places.
constexpr double kMostOneWay = 0.92;
constexpr double kPlainlyBent = 0.7;
constexpr int kFewestSquares = 8;
constexpr int kFewestHardlyBent = 24;
constexpr int kFewestOfAPart = 4;
constexpr int kGap = 2;  // places of the net that a group may step: a square between may be spoilt

using Group = std::vector<cv::Point>;

bool goes_on(const RidgeBlock& one, const RidgeBlock& other) {
  const double turn = std::abs(std::remainder(one.angle - other.angle, std::numbers::pi));
  const double ratio = one.pitch_units / other.pitch_units;
  return turn <= kMostTurn && ratio < kPitchRatio && ratio > 1.0 / kPitchRatio;
}

// Strong squares near each other whose ridges go on from one to the next.
std::vector<Group> groups_of(const RidgeBlocks& field) {
  cv::Mat left(field.net, CV_8UC1);
  for (int y = 0; y < field.net.height; ++y)
    for (int x = 0; x < field.net.width; ++x)
      left.at<std::uint8_t>(y, x) = field.at(x, y).strength >= kPlain ? 1 : 0;
  const cv::Rect net({}, field.net);
  std::vector<Group> groups;
  for (int y = 0; y < field.net.height; ++y)
    for (int x = 0; x < field.net.width; ++x) {
      if (left.at<std::uint8_t>(y, x) == 0) continue;
      left.at<std::uint8_t>(y, x) = 0;
      Group group{{x, y}};
      for (std::size_t next = 0; next < group.size(); ++next)
        for (int dy = -kGap; dy <= kGap; ++dy)
          for (int dx = -kGap; dx <= kGap; ++dx) {
            const cv::Point from = group[next];
            const cv::Point to = from + cv::Point(dx, dy);
            if (!net.contains(to) || left.at<std::uint8_t>(to) == 0) continue;
            if (!goes_on(field.at(from.x, from.y), field.at(to.x, to.y))) continue;
            left.at<std::uint8_t>(to) = 0;
            group.push_back(to);
          }
      groups.push_back(std::move(group));
    }
  return groups;
}

bool touch(const Group& one, const Group& other) {
  return std::any_of(one.begin(), one.end(), [&](cv::Point a) {
    return std::any_of(other.begin(), other.end(), [&](cv::Point b) {
      return std::max(std::abs(a.x - b.x), std::abs(a.y - b.y)) <= kGap + 1;
    });
  });
}

// Where ridges turn sharply, as in the middle of a whorl, no square is plain: both sides are one print.
std::vector<Group> prints_of(std::vector<Group> groups) {
  std::erase_if(groups, [](const Group& group) { return group.size() < kFewestOfAPart; });
  std::vector<Group> prints;
  for (Group& group : groups) {
    for (Group& print : prints)
      if (touch(print, group)) {
        group.insert(group.end(), print.begin(), print.end());
        print.clear();
      }
    std::erase_if(prints, [](const Group& print) { return print.empty(); });
    prints.push_back(std::move(group));
  }
  return prints;
}

// Squares half a side apart tell as much as if they did not overlap: powers under this window agree by 1/36
// there (P. D. Welch, IEEE Trans. Audio Electroacoustics 15(2), 1967, from memory).
int independent(const RidgeBlocks& field, double area) {
  const double apart = 0.5 * field.side_units;
  return static_cast<int>(std::lround(area / (apart * apart)));
}

double one_way(const RidgeBlocks& field, const Group& group) {
  Point sum{0.0, 0.0};
  for (const cv::Point at : group) {
    const double angle = 2.0 * field.at(at.x, at.y).angle;
    sum = sum + Point{std::cos(angle), std::sin(angle)};
  }
  return std::hypot(sum.x, sum.y) / static_cast<double>(group.size());
}

// Of the squares beyond the group, the share that is as strong: what the picture and the grain do by
// themselves.
double strong_share_beyond(const RidgeBlocks& field, const Group& group) {
  int strong = 0;
  int all = 0;
  for (const RidgeBlock& block : field.blocks) {
    all += block.on_film ? 1 : 0;
    strong += block.strength >= kPlain ? 1 : 0;
  }
  const int own = static_cast<int>(group.size());
  return std::max(kPlainByGrain, (strong - own + 1.0) / (all - own + 1.0));
}

Candidate candidate_of(const RidgeBlocks& field, const Group& group) {
  std::vector<cv::Point2f> corners;
  std::vector<double> amplitudes;
  for (const cv::Point at : group) {
    const Point middle = field.middle(at.x, at.y);
    const double reach = 0.5 * field.step_units;
    for (const double dy : {-reach, reach})
      for (const double dx : {-reach, reach})
        corners.emplace_back(static_cast<float>(middle.x + dx), static_cast<float>(middle.y + dy));
    amplitudes.push_back(field.at(at.x, at.y).amplitude);
  }
  std::vector<cv::Point2f> hull;
  cv::convexHull(corners, hull);
  const cv::Size2f size = cv::minAreaRect(hull).size;
  Candidate candidate{.id = "fingerprint",
                      .area = cv::contourArea(hull),
                      .length = std::max(size.width, size.height),
                      .width = std::min(size.width, size.height),
                      .contrast = 2.0 * median(amplitudes)};
  for (const cv::Point2f p : hull) candidate.outline_units.push_back({p.x, p.y});
  const int seen =
      independent(field, static_cast<double>(group.size()) * field.step_units * field.step_units);
  const int room = independent(field, candidate.area);
  const double chance = kFitByChance * strong_share_beyond(field, group);
  candidate.log10_nfa =
      log10_nfa(std::log10(field.net.area()) + kLog10Shapes * seen, std::max(room, seen), seen, chance);
  candidate.confidence = std::clamp(0.5 - 0.05 * *candidate.log10_nfa, 0.4, 0.95);
  return candidate;
}

}  // namespace

// Fine ridges of a finger's pitch that bend, over an area of a finger's size, whatever the picture shows.
std::vector<Candidate> fingerprint(const Evidence& evidence) {
  if (!evidence.millimetres) return {};
  const RidgeBlocks field = ridge_blocks(evidence, kLeastPitch_mm, kMostPitch_mm, kPlain);
  std::vector<Candidate> candidates;
  for (const Group& group : prints_of(groups_of(field))) {
    const double straight = one_way(field, group);
    if (straight > kMostOneWay ||
        static_cast<int>(group.size()) < (straight > kPlainlyBent ? kFewestHardlyBent : kFewestSquares))
      continue;
    Candidate candidate = candidate_of(field, group);
    if (*candidate.length < kLeastLength_mm || *candidate.length > kMostLength_mm) continue;
    candidates.push_back(std::move(candidate));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
