#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "../front_evidence.h"
#include "../front_look.h"
#include "detectors.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

// Handbook: "single line or step straight across", "0.5-3 wide, across plate", "dark line, sometimes with a
// light rim", "at right angles to the dip". The plate took less silver there, whatever the scene: the same
// share is missing all along. The other numbers are common practice, no source.
constexpr std::array kHalfWidthsUnits{0.4, 0.8};
constexpr double kSideUnits = 1.5;
constexpr std::array kShares{0.08, 0.16, 0.3, 0.5};
constexpr double kMostShare = 0.4;  // what takes more away all across is a thing of the scene
constexpr double kBlockUnits = 2.0;
constexpr double kApartUnits = 4.0;
constexpr double kLeastScorePerBlock = 0.75;  // of the blocks that are known
constexpr double kMostRunnerUp = 0.5;         // of the score: rails, courses and bars come in company
constexpr double kMostAgainst = 0.15;         // of the blocks that speak for it
constexpr int kFewestFor = 6;
constexpr double kLeastKnown = 0.6;
constexpr double kLeastThrough = 0.45;  // what lies beside the line is seen in it, weaker
constexpr double kMostSlope = 0.06;
constexpr double kMostBow = 0.6;   // units, rms off straight
constexpr double kMostStep = 1.2;  // of the depth: the two sides are alike
constexpr double kSpeaks = 0.7;    // log likelihood ratio of a block that says something

struct Line {
  FrontPath path;
  double half = 0.0;
  double share = 0.0;
  cv::Mat scores;
  std::vector<cv::Mat> all_scores;
};

Line best_line(const FlowPicture& picture, const Blocks& blocks, double grain, const FrontShape& shape) {
  const double k = picture.px_per_unit;
  Line line;
  std::vector<std::array<double, 2>> what;
  for (const double half : kHalfWidthsUnits) {
    const double gap = 2.0 * half;
    const Loss above = loss_across(blocks, picture, {-gap - kSideUnits, -gap, -half, half});
    const Loss below = loss_across(blocks, picture, {gap, gap + kSideUnits, -half, half});
    for (const double share : kShares) {
      line.all_scores.push_back(0.5 * (log_likelihood_ratio(above, share, grain, k) +
                                       log_likelihood_ratio(below, share, grain, k)));
      what.push_back({half, share});
    }
  }
  line.path = best_front(line.all_scores, shape, static_cast<int>(std::lround(kApartUnits * k)));
  line.half = what[line.path.which][0];
  line.share = what[line.path.which][1];
  line.scores = line.all_scores[line.path.which];
  return line;
}

// Runs straight, speaks in one voice and is known over most of the picture.
bool is_straight_across(const Line& line, const cv::Mat& known, double px_per_unit) {
  std::vector<double> along;
  std::vector<double> at;
  int seen = 0;
  int against = 0;
  for (std::size_t b = 0; b < line.path.row.size(); ++b) {
    const int row = line.path.row[b];
    const auto score = static_cast<double>(line.scores.at<float>(row, static_cast<int>(b)));
    seen += known.at<std::uint8_t>(row, static_cast<int>(b)) != 0 ? 1 : 0;
    against += score < -kSpeaks ? 1 : 0;
    if (score <= kSpeaks) continue;
    along.push_back(static_cast<double>(b) * kBlockUnits);
    at.push_back(row / px_per_unit);
  }
  const auto speaking = static_cast<double>(along.size());
  if (speaking < kFewestFor || against > kMostAgainst * speaking ||
      seen < kLeastKnown * static_cast<double>(line.path.row.size()) ||
      line.path.score < kLeastScorePerBlock * seen)
    return false;
  const RobustLine fit = robust_line(along, at);
  double square = 0.0;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double off = at[i] - fit.intercept - fit.slope * along[i];
    square += off * off / speaking;
  }
  return std::abs(fit.slope) <= kMostSlope && std::sqrt(square) <= kMostBow;
}

struct Beside {
  double depth = 0.0;
  double step = 0.0;  // between the two sides
  double through = 0.0;
};

Beside look_beside(const FlowPicture& picture, const std::vector<double>& row, double half) {
  const double k = picture.px_per_unit;
  const double gap = 2.0 * half;
  const int smooth = std::max(1, static_cast<int>(std::lround(0.75 * k)));
  constexpr double kSlowUnits = 10.0;
  const auto above = profile_beside(picture, row, -(gap + kSideUnits) * k, -gap * k, smooth);
  const auto below = profile_beside(picture, row, gap * k, (gap + kSideUnits) * k, smooth);
  const auto here = profile_beside(picture, row, -half * k, half * k, smooth);
  std::vector<double> sides(above.size());
  std::vector<double> depths;
  std::vector<double> steps;
  for (std::size_t x = 0; x < sides.size(); ++x) {
    sides[x] = 0.5 * (above[x] + below[x]);
    if (sides[x] != sides[x] || here[x] != here[x]) continue;
    depths.push_back(sides[x] - here[x]);
    steps.push_back(below[x] - above[x]);
  }
  if (depths.empty()) return {};
  double depth = 0.0;
  for (const double d : depths) depth += d / static_cast<double>(depths.size());
  return {depth, std::abs(median(steps)),
          likeness(sides, here, static_cast<int>(std::lround(kSlowUnits * k)))};
}

Candidate candidate_of(const Line& line, const FlowPicture& picture, const std::vector<double>& row,
                       double depth, double log10_nfa) {
  constexpr double kRimUnits = 0.4;
  Candidate candidate = band_along(picture, row, line.half + kRimUnits);
  candidate.id = "bath_halt_line";
  candidate.contrast = depth;
  candidate.log10_nfa = log10_nfa;
  candidate.confidence = std::clamp(0.4 - 0.1 * log10_nfa, 0.3, 0.95);
  return candidate;
}

}  // namespace

std::vector<Candidate> bath_halt_line(const Evidence& evidence) {
  const auto& edge = evidence.handling.dip_edge;
  const FlowPicture picture = flow_picture(evidence, edge && (*edge == Edge::left || *edge == Edge::right));
  const double k = picture.px_per_unit;
  const int width = std::max(1, static_cast<int>(std::lround(kBlockUnits * k)));
  const Blocks blocks = in_blocks(picture, width);
  const FrontShape shape{.most_shift_px = 1, .cost_of_turn = 1.0, .chunk_blocks = 5};
  const Line line = best_line(picture, blocks, picture.grain, shape);
  if (line.path.row.empty() || line.share > kMostShare ||
      line.path.runner_up > kMostRunnerUp * line.path.score || !is_straight_across(line, blocks.known(), k))
    return {};
  const std::vector<double> row = along_columns(line.path, width, picture.silver.cols);
  const Beside beside = look_beside(picture, row, line.half);
  if (beside.through < kLeastThrough || beside.step > kMostStep * beside.depth) return {};
  return {candidate_of(line, picture, row, beside.depth, log10_nfa_of(line.path, line.all_scores, shape))};
}

}  // namespace platewise::fault_detectors
