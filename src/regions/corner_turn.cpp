#include "corner_turn.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace platewise {
namespace {

constexpr double kReachShare = 0.16;  // of the side: the largest rounding, as for whole corners
constexpr int kSkip = 2;              // pixels at the very end: frames are cropped with a soft edge

// How far beyond the line the rim goes at one place along the side. Empty where no border is seen, or where
// what lies outside it has not the rim's tone.
std::optional<double> deeper_by(const SideView& view, const SideLine& line, int row, double tolerance) {
  constexpr double kHalfway = 0.5;
  const double border = line.rim_tone + kHalfway * line.contrast;
  const double straight = line.depth_at((row + 0.5) / view.tone.rows);
  int depth = 0;
  double off = 0.0;
  for (; depth < view.tone.cols; ++depth) {
    const double tone = view.tone.at<float>(row, depth);
    if (tone > border && depth + 2 > straight) break;
    off += std::abs(tone - line.rim_tone);
  }
  if (depth == view.tone.cols || off > tolerance * depth) return std::nullopt;
  return depth - straight;
}

// A circle's arc that touches the line `centre` pixels from the side's end and has this radius.
double arc(double along, double centre, double radius) {
  if (along >= centre) return 0.0;
  const double across = std::min(centre - along, radius);
  return radius - std::sqrt(radius * radius - across * across);
}

// A whole quarter circle beside a narrow rim, or one of which the frame cuts off a part.
std::vector<double> likely_radii(double centre, int rim) {
  std::vector<double> radii;
  for (int width = 0; width <= rim && width < 0.5 * centre; ++width) radii.push_back(centre - width);
  for (const double cut : {1.05, 1.15, 1.3, 1.6, 2.0}) radii.push_back(cut * centre);
  return radii;
}

double rms_off(const std::vector<double>& deeper, int first, double centre, double radius) {
  double squares = 0.0;
  for (std::size_t t = 0; t < deeper.size(); ++t) {
    const double off = deeper[t] - arc(static_cast<double>(t) + first + 0.5, centre, radius);
    squares += off * off;
  }
  return std::sqrt(squares / static_cast<double>(deeper.size()));
}

// What lies in the frame's corner at an end of the side, taken for a rim's tone, and the border that may bend
// round it. Empty where the picture is no lighter.
std::optional<SideLine> line_beside_corner(const SideView& view, const WorkingTone& working, SideEnd end) {
  constexpr double kPatchHundredths = 0.8;
  constexpr double kInwardHundredths = 8.0;
  constexpr double kLeastContrast = 0.12;  // D
  const auto row = [&](int t) { return end == SideEnd::first ? t : view.tone.rows - 1 - t; };
  const auto middle = [&](int from, int to) {
    std::vector<float> tones;
    for (int t = from; t < to; ++t) {
      for (int depth = from; depth < std::min(to, view.tone.cols); ++depth)
        tones.push_back(view.tone.at<float>(row(t), depth));
    }
    return quantile(tones, 0.5);
  };
  SideLine line;
  line.rim_tone = middle(0, working.pixels(kPatchHundredths));
  const int inward = working.pixels(kInwardHundredths);
  line.contrast = middle(inward, inward + working.pixels(2.0)) - line.rim_tone;
  if (line.contrast < kLeastContrast) return std::nullopt;
  std::vector<float> depths;
  const double border = line.rim_tone + 0.5 * line.contrast;
  const int reach = static_cast<int>(kReachShare * view.tone.rows);
  for (int t = reach; t < 2 * reach; ++t) {
    int depth = 0;
    while (depth < view.tone.cols && view.tone.at<float>(row(t), depth) < border) ++depth;
    depths.push_back(static_cast<float>(depth));
  }
  line.depth_first = line.depth_last = quantile(depths, 0.5);
  return line;
}

}  // namespace

RoundedCorners rounded_corners(const WorkingTone& working, const cv::Mat& inside) {
  constexpr double kOneTone = 0.1;  // D
  std::vector<float> tones;
  for (const Edge edge : {Edge::top, Edge::bottom}) {
    const SideView view = side_view(working, inside, edge);
    for (const SideEnd end : {SideEnd::first, SideEnd::last}) {
      const auto line = line_beside_corner(view, working, end);
      if (line && corner_turn(view, *line, working, end) > 0.0)
        tones.push_back(static_cast<float>(line->rim_tone));
    }
  }
  if (tones.empty()) return {};
  RoundedCorners corners{0, quantile(tones, 0.5)};
  corners.count = static_cast<int>(std::count_if(
      tones.begin(), tones.end(), [&](float tone) { return std::abs(tone - corners.tone) < kOneTone; }));
  return corners;
}

double corner_turn(const SideView& view, const SideLine& line, const WorkingTone& working, SideEnd end) {
  constexpr double kSoft = 0.06;  // D, mean deviation: the border's blur and uneven fog
  constexpr double kLeastHundredths = 0.4;
  constexpr double kOffPx = 0.5;
  constexpr double kOffShare = 0.08;   // of the turn
  constexpr double kBetterThan = 4.0;  // than the straight line
  const double tolerance = kSoft + 2.0 * working.noise_at(line.rim_tone);
  const int reach = static_cast<int>(kReachShare * view.tone.rows);
  // A neighbouring rim that is narrow lies before the arc.
  constexpr double kNarrowHundredths = 1.5;
  const int latest = kSkip + working.pixels(kNarrowHundredths);
  int first = kSkip;
  std::vector<double> deeper;
  for (int t = kSkip; t < reach; ++t) {
    const auto here = deeper_by(view, line, end == SideEnd::first ? t : view.tone.rows - 1 - t, tolerance);
    if (here) {
      deeper.push_back(*here);
    } else if (deeper.empty() && t < latest) {
      first = t + 1;
    } else {
      break;
    }
  }
  double best = 0.0;
  double least = 1e9;
  // The arc ends within what is seen, or runs out just there: a narrow rim is too blurred to be followed on.
  constexpr double kRunOut = 0.15;
  if (deeper.empty()) return 0.0;
  const double length = static_cast<double>(deeper.size()) + first;
  const double seen = (deeper.back() < kRunOut * deeper.front() ? 1.4 : 0.8) * length;
  for (double centre = first + 4.0; centre < seen; centre += 1.0) {
    for (const double radius : likely_radii(centre, first)) {
      const double off = rms_off(deeper, first, centre, radius);
      if (off >= least) continue;
      least = off;
      best = arc(first, centre, radius);
    }
  }
  const bool turns = best >= kLeastHundredths * working.hundredth_px && least < kOffPx + kOffShare * best &&
                     kBetterThan * least < rms_off(deeper, first, 0.0, 1.0);
  return turns ? best : 0.0;
}

}  // namespace platewise
