#include "line_look.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "plain_step.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kReach = 14;  // of the band to either side
constexpr int kFlank = 4;   // where the flanks begin
constexpr int kPiece = 10;  // px of length
constexpr int kDrift = 2;   // how far the darkest column may lie from the spine

float sampled(const cv::Mat& image, cv::Point2d at) {
  return between_pixels(image, std::clamp(at.x, 0.0, image.cols - 1.001),
                        std::clamp(at.y, 0.0, image.rows - 1.001));
}

// The spine and its straight continuation by `more` points at both ends.
std::vector<cv::Point2d> lengthened(const std::vector<cv::Point2d>& spine, int more) {
  constexpr std::size_t kLookBack = 10;
  const std::size_t back = std::min(kLookBack, spine.size() - 1);
  const cv::Point2d first = spine.front() - spine[back];
  const cv::Point2d last = spine.back() - spine[spine.size() - 1 - back];
  std::vector<cv::Point2d> points;
  for (int i = more; i > 0; --i) points.push_back(spine.front() + (i / std::hypot(first.x, first.y)) * first);
  points.insert(points.end(), spine.begin(), spine.end());
  for (int i = 1; i <= more; ++i) points.push_back(spine.back() + (i / std::hypot(last.x, last.y)) * last);
  return points;
}

// One row a point, columns across the line.
cv::Mat straightened(const cv::Mat& silver, const std::vector<cv::Point2d>& points) {
  cv::Mat rows(static_cast<int>(points.size()), 2 * kReach + 1, CV_32FC1);
  for (int i = 0; i < rows.rows; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const cv::Point2d ahead = points[std::min(points.size() - 1, at + 3)] - points[at < 3 ? 0 : at - 3];
    const cv::Point2d across = cv::Point2d(-ahead.y, ahead.x) / std::hypot(ahead.x, ahead.y);
    for (int v = -kReach; v <= kReach; ++v)
      rows.at<float>(i, v + kReach) = sampled(silver, points[at] + static_cast<double>(v) * across);
  }
  return rows;
}

cv::Mat mean_row(const cv::Mat& rows) {
  cv::Mat mean;
  cv::reduce(rows, mean, 0, cv::REDUCE_AVG);
  return mean;
}

int darkest_near(const float* profile, int middle, int drift) {
  int at = middle;
  for (int v = middle - drift; v <= middle + drift; ++v) {
    if (profile[v] < profile[at]) at = v;
  }
  return at;
}

double flank(const float* profile, int low, int side) {
  return (profile[low + side * kFlank] + profile[low + side * (kFlank + 1)] +
          profile[low + side * (kFlank + 2)]) /
         3.0;
}

// Distance from `low` to where the profile rises through `level`, towards `side`.
double half_width(const float* profile, int low, int side, double level) {
  int v = low;
  while (v > 0 && v < 2 * kReach && profile[v] < level) v += side;
  const double rise = profile[v] - profile[v - side];
  const double past = rise > 1e-9 ? (profile[v] - level) / rise : 0.0;
  return std::abs(v - low) - past;
}

double middle_of(const float* profile, int low) {
  const int at = darkest_near(profile, low, kDrift + 1);
  const double curve = profile[at - 1] - 2.0 * profile[at] + profile[at + 1];
  if (curve <= 1e-9) return at - low;
  return at - low + std::clamp(0.5 * (profile[at - 1] - profile[at + 1]) / curve, -0.5, 0.5);
}

bool darker(const float* row, int low, double by) {
  const float core = std::min({row[low - 1], row[low], row[low + 1]});
  return std::min(row[low - kFlank], row[low + kFlank]) > core + by;
}

void measure_pieces(LineLook& look, const cv::Mat& rows, int low) {
  std::vector<double> middles;
  std::vector<double> uneven;
  int agreeing = 0;
  for (int i = 0; i < rows.rows; ++i) {
    const auto* row = rows.ptr<float>(i);
    agreeing += std::min(row[low - kFlank], row[low + kFlank]) > row[low];
  }
  for (int i = 0; i + kPiece <= rows.rows; i += kPiece) {
    const cv::Mat mean = mean_row(rows.rowRange(i, i + kPiece));
    const auto* profile = mean.ptr<float>(0);
    middles.push_back(middle_of(profile, low));
    uneven.push_back(std::abs(flank(profile, low, 1) - flank(profile, low, -1)));
  }
  look.agreeing = static_cast<double>(agreeing) / rows.rows;
  if (middles.empty()) return;
  look.wiggle_px = robust_sigma(middles);
  look.lopsided_here = median(uneven) / std::max(1e-6, look.depth);
}

// The first pixels beyond an end still belong to the search's own reach.
double share_beyond(const cv::Mat& rows, int end_row, int step, int more, int low, double depth) {
  constexpr int kSkip = 4;
  constexpr double kStillThere = 0.3;
  int hits = 0;
  for (int i = kSkip; i < more; ++i)
    hits += darker(rows.ptr<float>(end_row + step * i), low, kStillThere * depth);
  return static_cast<double>(hits) / std::max(1, more - kSkip);
}

bool meets_as_dark(const cv::Mat& rows, int end_row, int step, double level, double px) {
  constexpr int kHalfBreadth = 3;
  for (int i = 0; i < static_cast<int>(px); ++i) {
    const auto* row = rows.ptr<float>(end_row + step * i);
    double sum = 0.0;
    for (int v = kReach - kHalfBreadth; v <= kReach + kHalfBreadth; ++v) sum += row[v];
    if (sum / (2 * kHalfBreadth + 1) < level) return true;
  }
  return false;
}

// Offsets of the pieces' middles from the spine, by a parabola over -1..1 along the line.
cv::Vec3d parabola(const std::vector<double>& along, const std::vector<double>& off) {
  cv::Mat_<double> design(static_cast<int>(along.size()), 3);
  cv::Mat_<double> side(design.rows, 1);
  for (int i = 0; i < design.rows; ++i) {
    const double t = along[static_cast<std::size_t>(i)];
    design(i, 0) = 1.0;
    design(i, 1) = t;
    design(i, 2) = t * t;
    side(i, 0) = off[static_cast<std::size_t>(i)];
  }
  cv::Mat_<double> answer;
  cv::solve(design, side, answer, cv::DECOMP_SVD);
  return {answer(0, 0), answer(1, 0), answer(2, 0)};
}

}  // namespace

DarkLine centred(const cv::Mat& silver, DarkLine line) {
  constexpr int kSearchPx = 3;
  const cv::Mat rows = straightened(silver, line.spine);
  std::vector<double> along;
  std::vector<double> off;
  for (int i = 0; i + kPiece <= rows.rows; i += kPiece) {
    const cv::Mat mean = mean_row(rows.rowRange(i, i + kPiece));
    along.push_back(2.0 * (i + 0.5 * kPiece) / rows.rows - 1.0);
    off.push_back(darkest_near(mean.ptr<float>(0), kReach, kSearchPx) - kReach);
  }
  if (along.size() < 4) return line;
  cv::Vec3d shift = parabola(along, off);
  // Pieces that found something darker of the picture beside the line do not count.
  constexpr double kStrayPx = 1.2;
  std::vector<double> kept_along;
  std::vector<double> kept_off;
  for (std::size_t i = 0; i < along.size(); ++i) {
    const double t = along[i];
    if (std::abs(off[i] - shift[0] - shift[1] * t - shift[2] * t * t) > kStrayPx) continue;
    kept_along.push_back(t);
    kept_off.push_back(off[i]);
  }
  if (2 * kept_along.size() < along.size() || kept_along.size() < 4) return line;
  shift = parabola(kept_along, kept_off);
  const cv::Point2d chord = line.spine.back() - line.spine.front();
  const cv::Point2d across = cv::Point2d(-chord.y, chord.x) / std::hypot(chord.x, chord.y);
  for (std::size_t i = 0; i < line.spine.size(); ++i) {
    const double t = 2.0 * (static_cast<double>(i) + 0.5) / static_cast<double>(line.spine.size()) - 1.0;
    line.spine[i] += (shift[0] + shift[1] * t + shift[2] * t * t) * across;
  }
  const cv::Point2d middle = 0.5 * (line.spine.front() + line.spine.back());
  const cv::Point2d from_middle = line.spine[line.spine.size() / 2] - middle;
  line.bow_px = std::abs(from_middle.dot(across));
  return line;
}

DarkLine trimmed(const cv::Mat& silver, DarkLine line) {
  // A pixel that agrees is worth 1 and one that does not costs 2, so that a stretch stays where more than two
  // in three agree: far more than one in three, which chance gives.
  constexpr double kDisagreeing = -2.0;
  const cv::Mat rows = straightened(silver, line.spine);
  double sum = 0.0;
  double best = 0.0;
  int from = 0;
  int best_from = 0;
  int best_to = 0;
  for (int i = 0; i < rows.rows; ++i) {
    sum += darker(rows.ptr<float>(i), kReach, 0.0) ? 1.0 : kDisagreeing;
    if (sum > best) {
      best = sum;
      best_from = from;
      best_to = i + 1;
    }
    if (sum <= 0.0) {
      sum = 0.0;
      from = i + 1;
    }
  }
  line.spine = {line.spine.begin() + best_from, line.spine.begin() + best_to};
  if (line.spine.size() < 3) return {};
  const cv::Point2d chord = line.spine.back() - line.spine.front();
  const cv::Point2d from_middle =
      line.spine[line.spine.size() / 2] - 0.5 * (line.spine.front() + line.spine.back());
  line.length_px = std::hypot(chord.x, chord.y);
  line.bow_px = std::abs(from_middle.cross(chord)) / line.length_px;
  return line;
}

LineLook look_of(const cv::Mat& silver, const DarkLine& line, double beyond_px) {
  const int more = static_cast<int>(beyond_px);
  const cv::Mat all = straightened(silver, lengthened(line.spine, more));
  const cv::Mat rows = all.rowRange(more, all.rows - more);
  const cv::Mat mean = mean_row(rows);
  const auto* profile = mean.ptr<float>(0);
  const int low = darkest_near(profile, kReach, kDrift);
  LineLook look;
  const double left = flank(profile, low, -1);
  const double right = flank(profile, low, 1);
  look.depth = std::min(left, right) - profile[low];
  if (look.depth <= 0) return look;
  look.lopsided = std::abs(left - right) / look.depth;
  const double half = profile[low] + 0.5 * look.depth;
  look.width_px = half_width(profile, low, -1, half) + half_width(profile, low, 1, half);
  measure_pieces(look, rows, low);
  look.goes_on = {share_beyond(all, more, -1, more, low, look.depth),
                  share_beyond(all, all.rows - 1 - more, 1, more, low, look.depth)};
  constexpr double kAsDark = 0.3;
  const double as_dark = profile[low] + kAsDark * look.depth;
  look.joined = {meets_as_dark(all, more, -1, as_dark, 0.6 * beyond_px),
                 meets_as_dark(all, all.rows - 1 - more, 1, as_dark, 0.6 * beyond_px)};
  return look;
}

}  // namespace platewise
