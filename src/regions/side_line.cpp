#include "side_line.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "side_steps.h"

namespace platewise {
namespace {

constexpr double kDeepestShare = 0.2;  // a rim is at most this share of the plate's other side
constexpr double kNarrowestHundredths = 0.8;

// Where the step is steepest near the line, in parts of a pixel; empty where there is no vote.
std::optional<double> border_at(const Profiles& profiles, int place, double depth) {
  const int around = std::max(2, profiles.band_px / 2);
  const int from = std::max(1, static_cast<int>(std::lround(depth)) - around);
  const int to = std::min(profiles.depths() - 2, static_cast<int>(std::lround(depth)) + around);
  int steepest = -1;
  for (int d = from; d <= to; ++d) {
    if (steepest < 0 || profiles.step.at<float>(place, d) > profiles.step.at<float>(place, steepest)) {
      steepest = d;
    }
  }
  if (steepest < 0) return std::nullopt;
  if (profiles.step.at<float>(place, steepest) < profiles.least.at<float>(place, steepest))
    return std::nullopt;
  const double before = profiles.step.at<float>(place, steepest - 1);
  const double here = profiles.step.at<float>(place, steepest);
  const double after = profiles.step.at<float>(place, steepest + 1);
  const double bend = before - 2.0 * here + after;
  const double shift = bend < 0.0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0.0;
  return steepest + shift;
}

// Robust line through the borders of all places: least squares, thrice reweighted by Tukey's biweight.
void refine(Trial& line, double& wander, const Profiles& profiles) {
  std::vector<cv::Point2d> borders;
  const int begin = first_place(profiles);
  for (int place = begin; place < profiles.places() - begin; ++place) {
    if (const auto depth = border_at(profiles, place, depth_at(line, place, profiles.places()))) {
      borders.emplace_back((place + 0.5) / profiles.places(), *depth);
    }
  }
  constexpr std::size_t kEnough = 8;
  if (borders.size() < kEnough) return;
  for (int round = 0; round < 4; ++round) {
    std::vector<float> deviations;
    deviations.reserve(borders.size());
    for (const auto& border : borders) {
      deviations.push_back(static_cast<float>(border.y - line.first - (line.last - line.first) * border.x));
    }
    std::vector<float> copy = deviations;
    for (float& deviation : copy) deviation = std::abs(deviation);
    constexpr double kSigmaPerMedian = 1.4826;
    wander = kSigmaPerMedian * quantile(copy, 0.5);
    const double limit = std::max(0.5, 4.0 * wander);
    double w0 = 0, wx = 0, wxx = 0, wy = 0, wxy = 0;
    for (std::size_t i = 0; i < borders.size(); ++i) {
      const double ratio = static_cast<double>(deviations[i]) / limit;
      const double weight = std::abs(ratio) < 1.0 ? (1 - ratio * ratio) * (1 - ratio * ratio) : 0.0;
      const auto& [x, y] = borders[i];
      w0 += weight, wx += weight * x, wxx += weight * x * x, wy += weight * y, wxy += weight * x * y;
    }
    const double spread = w0 * wxx - wx * wx;
    if (w0 < static_cast<double>(kEnough) / 2.0 || spread < 1e-3 * w0 * w0) return;
    const double slope = (w0 * wxy - wx * wy) / spread;
    const double start = (wy - slope * wx) / w0;
    if (std::abs(slope) > kLargestTilt * profiles.length_px) return;
    line.first = start;
    line.last = start + slope;
  }
}

// The strip of a place between the plate's edge and the line, clear of both; empty when too narrow.
struct Strip {
  int from = 0;
  int to = 0;
};
std::optional<Strip> strip_outside(const Profiles& profiles, int place, double depth) {
  const double wide = depth - profiles.edge_px;
  const double gap = std::clamp(wide / 2.0, std::max(1.0, profiles.band_px / 3.0), profiles.blur_px);
  const int to = std::min(static_cast<int>(std::lround(depth - gap)), profiles.depths());
  int from = profiles.edge_px;
  for (int d = std::min(to, profiles.depths()) - 1; d >= from; --d) {
    if (profiles.plate.at<std::uint8_t>(place, d) < 128) from = d + 1;
  }
  from = std::min(from, std::max(1, to - profiles.band_px));
  if (to - from < 1) return std::nullopt;
  return Strip{from, to};
}

double ramp(double value, double none, double full) {
  return std::clamp((value - none) / (full - none), 0.0, 1.0);
}

void judge(SideLine& line, const Trial& trial, const Profiles& profiles, const WorkingTone& working,
           const std::vector<float>& picture_tones) {
  const int begin = first_place(profiles);
  const int end = profiles.places() - begin;
  std::vector<float> steps;
  std::vector<float> outside;
  int stepped = 0;
  int reversed = 0;
  for (int place = begin; place < end; ++place) {
    const double depth = depth_at(trial, place, profiles.places());
    const auto strip = strip_outside(profiles, place, depth);
    if (!strip) continue;
    const int at = std::clamp(static_cast<int>(std::lround(depth)), 0, profiles.depths() - 1);
    const double rim = profiles.mean(place, std::max(strip->from, strip->to - profiles.band_px), strip->to);
    if (border_at(profiles, place, depth)) {
      ++stepped;
      steps.push_back(profiles.step.at<float>(place, at));
      outside.push_back(static_cast<float>(rim));
    } else if (profiles.step.at<float>(place, at) < -profiles.least.at<float>(place, at)) {
      ++reversed;
    }
  }
  if (steps.empty()) return;
  line.stepped = stepped / static_cast<double>(end - begin);
  line.reversed = reversed / static_cast<double>(end - begin);
  line.contrast = quantile(steps, 0.5);
  line.rim_tone = quantile(outside, 0.5);
  const double tolerance =
      std::max({kSmallestSideStep, kSideStepSigmas * working.noise_at(line.rim_tone), 0.25 * line.contrast});
  int lighter = 0;
  int alike = 0;
  int all = 0;
  std::vector<float> means;
  for (int place = begin; place < end; ++place) {
    const auto strip = strip_outside(profiles, place, depth_at(trial, place, profiles.places()));
    if (!strip) continue;
    for (int d = strip->from; d < strip->to; ++d) {
      const double above = static_cast<double>(profiles.tone.at<float>(place, d)) - line.rim_tone;
      lighter += above > tolerance ? 1 : 0;
      alike += std::abs(above) <= tolerance ? 1 : 0;
      ++all;
    }
    means.push_back(static_cast<float>(
        profiles.mean(place, std::max(strip->from, strip->to - profiles.band_px), strip->to)));
  }
  line.disturbed = lighter / static_cast<double>(std::max(1, all));
  line.rim_like = alike / static_cast<double>(std::max(1, all));
  line.rim_spread = middle_and_spread(means).spread;
  const auto limit = static_cast<float>(line.rim_tone - tolerance);
  line.darker_inside =
      static_cast<double>(std::lower_bound(picture_tones.begin(), picture_tones.end(), limit) -
                          picture_tones.begin()) /
      static_cast<double>(std::max<std::size_t>(1, picture_tones.size()));
}

double confidence_of(const SideLine& line, const WorkingTone& working) {
  // The film's edge wanders a fifth of a hundredth, a holder's a twentieth (medians over src/demo, seeds
  // 9100-9319).
  const double straight = 1.0 - ramp(line.wander / working.hundredth_px, 0.1, 0.3);
  // A rim is seldom so wide: a border deep inside that few places show is a wall's or a window's.
  const double depth = 0.5 * (line.depth_first + line.depth_last) / working.hundredth_px;
  const double unlikely = ramp(depth, 7.0, 14.0) * (1.0 - ramp(line.stepped, 0.5, 0.85));
  return (1.0 - unlikely) * ramp(line.stepped, 0.15, 0.5) * (1.0 - ramp(line.reversed, 0.06, 0.2)) *
         (1.0 - ramp(line.disturbed, 0.08, 0.25)) * ramp(line.rim_like, 0.12, 0.35) *
         (1.0 - ramp(line.darker_inside, 0.01, 0.06)) * straight;
}

std::vector<float> sorted_picture_tones(const WorkingTone& working) {
  std::vector<float> tones;
  const int rows = working.rows();
  const int cols = working.cols();
  for (int y = rows / 5; y < rows - rows / 5; y += 2) {
    for (int x = cols / 5; x < cols - cols / 5; x += 2) tones.push_back(working.smooth.at<float>(y, x));
  }
  std::sort(tones.begin(), tones.end());
  return tones;
}

cv::Mat seen_from(const cv::Mat& image, Edge edge) {
  cv::Mat turned = image;
  if (edge == Edge::top || edge == Edge::bottom) cv::transpose(image, turned);
  if (edge == Edge::right || edge == Edge::bottom) {
    cv::Mat flipped;
    cv::flip(turned, flipped, 1);
    turned = flipped;
  }
  const int deepest = std::max(4, static_cast<int>(std::lround(kDeepestShare * turned.cols)));
  return turned.colRange(0, std::min(deepest, turned.cols)).clone();
}

}  // namespace

SideView side_view(const WorkingTone& working, const cv::Mat& plate, Edge edge) {
  SideView view;
  view.edge = edge;
  view.tone = seen_from(working.tone, edge);
  view.plate = seen_from(plate, edge);
  view.length_px = view.tone.rows;
  return view;
}

std::vector<SideLine> side_lines(const SideView& view, const WorkingTone& working) {
  const Profiles profiles = profiles_of(view, working);
  const std::vector<float> picture_tones = sorted_picture_tones(working);
  const double narrowest = kNarrowestHundredths * working.hundredth_px;
  std::vector<SideLine> lines;
  for (Trial trial : best_trials(profiles)) {
    SideLine line;
    refine(trial, line.wander, profiles);
    if (std::min(trial.first, trial.last) < 0.0 || trial.first + trial.last < 2.0 * narrowest) continue;
    line.depth_first = trial.first;
    line.depth_last = trial.last;
    judge(line, trial, profiles, working, picture_tones);
    line.confidence = confidence_of(line, working);
    lines.push_back(line);
  }
  std::sort(lines.begin(), lines.end(),
            [](const SideLine& a, const SideLine& b) { return a.confidence > b.confidence; });
  return lines;
}

}  // namespace platewise
