#include "straight_lines.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

struct EdgePixel {
  float along;   // x for a level edge, y for a steep one
  float across;  // sub-pixel
  float slope;   // of the edge
  float weight;  // 0..1
};

struct EdgePixels {
  std::vector<EdgePixel> level;
  std::vector<EdgePixel> steep;
};

struct Gradient {
  cv::Mat x, y, magnitude;
};

// Of the channel that changes most, at each pixel.
Gradient strongest_gradient(const cv::Mat& lightness) {
  constexpr double kBlur_px = 1.4;  // joins the steps of slanted and the teeth of ragged edges
  cv::Mat smooth;
  cv::GaussianBlur(lightness, smooth, {0, 0}, kBlur_px, kBlur_px, cv::BORDER_REPLICATE);
  std::vector<cv::Mat> channels;
  cv::split(smooth, channels);
  Gradient strongest;
  for (const cv::Mat& channel : channels) {
    Gradient gradient;
    cv::Sobel(channel, gradient.x, CV_32F, 1, 0, 3, 1.0 / 8, 0, cv::BORDER_REPLICATE);
    cv::Sobel(channel, gradient.y, CV_32F, 0, 1, 3, 1.0 / 8, 0, cv::BORDER_REPLICATE);
    cv::magnitude(gradient.x, gradient.y, gradient.magnitude);
    if (strongest.x.empty()) {
      strongest = gradient;
      continue;
    }
    const cv::Mat stronger = gradient.magnitude > strongest.magnitude;
    gradient.x.copyTo(strongest.x, stronger);
    gradient.y.copyTo(strongest.y, stronger);
    gradient.magnitude.copyTo(strongest.magnitude, stronger);
  }
  return strongest;
}

// How far each gradient stands out of its surroundings. The geometric mean is hardly moved by the strong edge
// a few pixels away, so the faint outer edge beside a strong rim edge survives.
cv::Mat prominence(const cv::Mat& magnitude, double noise) {
  constexpr double kNoiseGain = 0.1;   // gradient of unit white noise after that blur, about
  constexpr double kLeastStep = 1e-4;  // of lightness: below any real scanner's noise
  constexpr int kAround_px = 25;
  cv::Mat logarithm;
  cv::log(magnitude + (kNoiseGain * noise + kLeastStep), logarithm);
  cv::Mat around;
  cv::blur(logarithm, around, {kAround_px, kAround_px}, {-1, -1}, cv::BORDER_REFLECT);
  cv::exp(around, around);
  cv::Mat ratio;
  cv::divide(magnitude, around, ratio);
  return ratio;
}

// Sub-pixel shift of the peak through three neighbours.
float peak_shift(float before, float peak, float after) {
  const float curvature = before - 2 * peak + after;
  return curvature < 0 ? std::clamp(0.5F * (before - after) / curvature, -0.5F, 0.5F) : 0.0F;
}

EdgePixels edge_pixels(const SearchImage& search) {
  constexpr float kStandsOut = 2.0F;   // times its surroundings: begins to count
  constexpr float kFullWeight = 4.5F;  // counts fully
  const Gradient gradient = strongest_gradient(search.lightness);
  const cv::Mat ratio = prominence(gradient.magnitude, search.noise);
  EdgePixels pixels;
  for (int y = 1; y + 1 < search.rows(); ++y) {
    for (int x = 1; x + 1 < search.cols(); ++x) {
      const float prominent = ratio.at<float>(y, x);
      if (prominent < kStandsOut) continue;
      const float gx = gradient.x.at<float>(y, x);
      const float gy = gradient.y.at<float>(y, x);
      const bool level = std::abs(gy) >= std::abs(gx);
      const float here = gradient.magnitude.at<float>(y, x);
      const float before =
          level ? gradient.magnitude.at<float>(y - 1, x) : gradient.magnitude.at<float>(y, x - 1);
      const float after =
          level ? gradient.magnitude.at<float>(y + 1, x) : gradient.magnitude.at<float>(y, x + 1);
      if (here < before || here <= after) continue;
      const float shift = peak_shift(before, here, after);
      const float weight = std::min(1.0F, (prominent - kStandsOut) / (kFullWeight - kStandsOut));
      const auto fx = static_cast<float>(x) + 0.5F;
      const auto fy = static_cast<float>(y) + 0.5F;
      if (level) {
        pixels.level.push_back({fx, fy + shift, -gx / gy, weight});
      } else {
        pixels.steep.push_back({fy, fx + shift, -gy / gx, weight});
      }
    }
  }
  return pixels;
}

constexpr double kAngleStep_deg = 0.5;
constexpr int kAngles = 185;  // -46 .. +46 degrees
constexpr int kMiddleAngle = kAngles / 2;
double slope_of_bin(int bin) {
  return std::tan((bin - kMiddleAngle) * kAngleStep_deg * std::numbers::pi / 180.0);
}

// Votes over (direction, position across at the middle of the picture).
struct Votes {
  cv::Mat count;  // kAngles x positions
  double first = 0.0;
  double middle = 0.0;
};

Votes vote(const std::vector<EdgePixel>& pixels, int along, int across) {
  constexpr int kSpread =
      16;  // bins of 0.5 degrees: how badly one pixel of a ragged edge knows its direction
  Votes votes;
  votes.middle = along / 2.0;
  votes.first = -along / 2.0 - 2;
  const int positions = across + along + 4;
  votes.count = cv::Mat::zeros(kAngles, positions, CV_32FC1);
  std::vector<double> slopes;
  std::vector<float> trust;
  for (int off = 0; off <= kSpread; ++off) {
    const float part = static_cast<float>(off) / (kSpread + 1);
    trust.push_back((1 - part * part) * (1 - part * part));
  }
  slopes.reserve(kAngles);
  for (int bin = 0; bin < kAngles; ++bin) slopes.push_back(slope_of_bin(bin));
  for (const EdgePixel& pixel : pixels) {
    const double angle_deg = std::atan(pixel.slope) * 180.0 / std::numbers::pi;
    const int centre = kAngles / 2 + static_cast<int>(std::lround(angle_deg / kAngleStep_deg));
    for (int bin = std::max(0, centre - kSpread); bin <= std::min(kAngles - 1, centre + kSpread); ++bin) {
      const double position =
          pixel.across + slopes[static_cast<std::size_t>(bin)] * (votes.middle - pixel.along) - votes.first;
      const int column = static_cast<int>(position);
      if (column < 1 || column + 1 >= positions) continue;
      float* row = votes.count.ptr<float>(bin);
      row[column] += pixel.weight * trust[static_cast<std::size_t>(std::abs(bin - centre))];
    }
  }
  const cv::Mat across_kernel = (cv::Mat_<float>(1, 5) << 0.3, 0.8, 1.0, 0.8, 0.3);
  cv::filter2D(votes.count, votes.count, CV_32F, across_kernel, {-1, -1}, 0, cv::BORDER_CONSTANT);
  return votes;
}

// The line through the edge pixels near it, by weighted least squares repeated with a narrowing reach.
Line fitted(Line line, const std::vector<EdgePixel>& pixels) {
  constexpr double kSlopeReach = 0.3;
  for (const double reach_px : {3.0, 2.2, 1.8}) {
    double w = 0, t = 0, tt = 0, p = 0, tp = 0;
    for (const EdgePixel& pixel : pixels) {
      const double off = (pixel.across - line.across(pixel.along)) / reach_px;
      if (std::abs(off) >= 1.0 || std::abs(pixel.slope - line.slope) > kSlopeReach) continue;
      const double weight = pixel.weight * (1 - off * off) * (1 - off * off);
      w += weight;
      t += weight * pixel.along;
      tt += weight * pixel.along * pixel.along;
      p += weight * pixel.across;
      tp += weight * pixel.along * pixel.across;
    }
    const double spread = tt - t * t / std::max(w, 1e-9);
    if (w < 5 || spread < 25 * w) return line;
    line.slope = std::clamp((tp - t * p / w) / spread, -1.05, 1.05);
    line.offset = (p - line.slope * t) / w;
  }
  return line;
}

std::vector<Line> peaks(const std::vector<EdgePixel>& pixels, int along, int across, bool steep,
                        std::size_t count) {
  constexpr double kShortest = 0.08;  // of the picture's smaller side: fewer votes are no plate's side
  constexpr double kApart_px = 2.5;   // closer lines are the same edge
  const Votes votes = vote(pixels, along, across);
  cv::Mat highest;
  cv::dilate(votes.count, highest, cv::Mat::ones(5, 5, CV_8U));
  struct Peak {
    float votes;
    int bin, column;
  };
  std::vector<Peak> found;
  const auto least = static_cast<float>(kShortest * std::min(along, across));
  for (int bin = 0; bin < kAngles; ++bin) {
    for (int column = 0; column < votes.count.cols; ++column) {
      const float here = votes.count.at<float>(bin, column);
      if (here >= least && here >= highest.at<float>(bin, column)) found.push_back({here, bin, column});
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Peak& a, const Peak& b) { return a.votes > b.votes; });
  std::vector<Line> lines;
  for (const Peak& peak : found) {
    if (lines.size() >= count) break;
    const double slope = slope_of_bin(peak.bin);
    const double middle = peak.column + 0.5 + votes.first;
    const Line line = fitted({steep, middle - slope * votes.middle, slope}, pixels);
    const bool known = std::any_of(lines.begin(), lines.end(), [&](const Line& other) {
      return std::abs(line.across(0.15 * along) - other.across(0.15 * along)) < kApart_px &&
             std::abs(line.across(0.85 * along) - other.across(0.85 * along)) < kApart_px;
    });
    if (!known) lines.push_back(line);
  }
  return lines;
}

}  // namespace

Point intersection(const Line& level, const Line& steep) {
  // y = a + b x, x = c + d y
  const double y = (level.offset + level.slope * steep.offset) / (1.0 - level.slope * steep.slope);
  return {steep.across(y), y};
}

Line line_through(Point a, Point b, bool steep) {
  Line line;
  line.steep = steep;
  if (steep) {
    line.slope = (b.x - a.x) / (b.y - a.y);
    line.offset = a.x - line.slope * a.y;
  } else {
    line.slope = (b.y - a.y) / (b.x - a.x);
    line.offset = a.y - line.slope * a.x;
  }
  return line;
}

StraightLines straight_lines(const SearchImage& search, std::size_t count) {
  const EdgePixels pixels = edge_pixels(search);
  return {peaks(pixels.level, search.cols(), search.rows(), false, count),
          peaks(pixels.steep, search.rows(), search.cols(), true, count)};
}

}  // namespace platewise
