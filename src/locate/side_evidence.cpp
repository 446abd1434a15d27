#include "side_evidence.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr int kReach = 11;             // rows of the strip to either side of the line
constexpr int kAlongMean_px = 5;       // averaged along the line before tones are compared
constexpr int kWander = 2;             // a ragged edge may leave its line by so many pixels
constexpr int kTextureLength_px = 21;  // of the ground's own variation, along the line
constexpr double kGroundSigmas = 2.5;  // step over the ground's variation that counts as an edge
constexpr double kNoiseSigmas = 1.5;   // and over the noise, which the mean over ten pixels has shrunk
constexpr double kLevelGround = 0.7;   // the ground may change by this share of the step in the next strip

struct Strip {
  cv::Mat tones;     // rows across (2 kReach + 1), columns along; outside the picture: NaN
  cv::Mat smoothed;  // averaged along
};

Strip strip_along(const SearchImage& search, const Line& line, int length) {
  const double stretch = std::sqrt(1.0 + line.slope * line.slope);
  cv::Mat map_x(2 * kReach + 1, length, CV_32FC1);
  cv::Mat map_y(2 * kReach + 1, length, CV_32FC1);
  cv::Mat inside(2 * kReach + 1, length, CV_8UC1);
  for (int row = 0; row < map_x.rows; ++row) {
    for (int column = 0; column < length; ++column) {
      const double along = column + 0.5;
      const double across = line.across(along) + (row - kReach) * stretch;
      const Point p = line.steep ? Point{across, along} : Point{along, across};
      inside.at<std::uint8_t>(row, column) =
          p.x >= 0 && p.y >= 0 && p.x <= search.cols() && p.y <= search.rows() ? 255 : 0;
      map_x.at<float>(row, column) = static_cast<float>(p.x - 0.5);
      map_y.at<float>(row, column) = static_cast<float>(p.y - 0.5);
    }
  }
  Strip strip;
  cv::remap(search.lightness, strip.tones, map_x, map_y, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::blur(strip.tones, strip.smoothed, {kAlongMean_px, 1}, {-1, -1}, cv::BORDER_REPLICATE);
  const cv::Scalar nothing = cv::Scalar::all(std::nan(""));
  strip.tones.setTo(nothing, ~inside);
  strip.smoothed.setTo(nothing, ~inside);
  return strip;
}

constexpr int kTone_rows = 3;
constexpr int kNear_rows = 2;  // where the frame leaves no room for more

// One channel of a strip turned so that the ground is above: rows count from the ground inward.
struct Profile {
  cv::Mat running;       // sums of the rows above, per column
  cv::Mat ground_sigma;  // one row
  [[nodiscard]] float tone(int row, int column, int rows) const {
    return (running.at<float>(row + rows, column) - running.at<float>(row, column)) /
           static_cast<float>(rows);
  }
};

// The ground's variation from place to place: deviation of the outer rows within a stretch.
cv::Mat ground_sigma(const cv::Mat& tones) {
  constexpr int kGroundRows = kReach - kWander - 1;
  cv::Mat ground = tones.rowRange(0, kGroundRows).clone();
  cv::Mat valid = ground == ground;
  ground.setTo(0.0F, ~valid);
  cv::Mat count;
  valid.convertTo(count, CV_32F, 1.0 / 255);
  const auto sum = [](const cv::Mat& image) {
    cv::Mat row;
    cv::reduce(image, row, 0, cv::REDUCE_SUM, CV_32F);
    cv::blur(row, row, {kTextureLength_px, 1}, {-1, -1}, cv::BORDER_REPLICATE);
    return row;
  };
  const cv::Mat n = cv::max(sum(count), 0.01F);
  cv::Mat mean;
  cv::divide(sum(ground), n, mean);
  cv::Mat square;
  cv::divide(sum(ground.mul(ground)), n, square);
  cv::Mat variance = cv::max(square - mean.mul(mean), 0.0F);
  cv::sqrt(variance, variance);
  return variance;
}

// Running sums down the columns. Rows without a value (beyond the frame) are the outer ones: the sums start
// after them, and `first_row` says where, per column.
cv::Mat running_rows(const cv::Mat& smoothed, std::vector<int>& first_row) {
  cv::Mat running = cv::Mat::zeros(smoothed.rows + 1, smoothed.cols, CV_32FC1);
  first_row.assign(static_cast<std::size_t>(smoothed.cols), 0);
  for (int row = 0; row < smoothed.rows; ++row) {
    const float* tone = smoothed.ptr<float>(row);
    const float* above = running.ptr<float>(row);
    float* below = running.ptr<float>(row + 1);
    for (int column = 0; column < smoothed.cols; ++column) {
      const bool valid = !std::isnan(tone[column]);
      below[column] = above[column] + (valid ? tone[column] : 0.0F);
      if (!valid && row <= kReach) first_row[static_cast<std::size_t>(column)] = row + 1;
    }
  }
  return running;
}

// Where across the line (in rows from its middle) the column looks most like an edge; NaN where it does not.
float edge_row(const Profile& profile, int first_row, int column, double noise) {
  const double needed =
      kGroundSigmas * static_cast<double>(profile.ground_sigma.at<float>(0, column)) + kNoiseSigmas * noise;
  double greatest = 0.0;
  float found = std::numeric_limits<float>::quiet_NaN();
  for (int edge = kReach - kWander; edge <= kReach + kWander; ++edge) {
    const int rows = edge - kTone_rows >= first_row ? kTone_rows : kNear_rows;
    if (edge - rows < first_row) continue;
    const float inner = profile.tone(edge + 1, column, kTone_rows);
    const float outer = profile.tone(edge - rows, column, rows);
    const double step = std::abs(inner - outer);
    if (step <= needed || step <= greatest) continue;
    if (edge - 2 * kTone_rows >= first_row) {
      const float beyond = profile.tone(edge - 2 * kTone_rows, column, kTone_rows);
      if (std::abs(outer - beyond) >= kLevelGround * step) continue;
    }
    greatest = step;
    found = static_cast<float>(edge - kReach);
  }
  return found;
}

}  // namespace

SideEvidence::SideEvidence(const SearchImage& search, const Line& line) : line_(line) {
  const int along = line.steep ? search.rows() : search.cols();
  const Strip strip = strip_along(search, line, along);
  std::vector<cv::Mat> tones;
  std::vector<cv::Mat> smoothed;
  cv::split(strip.tones, tones);
  cv::split(strip.smoothed, smoothed);
  for (const bool after : {false, true}) {
    std::vector<Profile> profiles;
    std::vector<int> first_row;
    for (std::size_t c = 0; c < tones.size(); ++c) {
      cv::Mat turned_tones = tones[c];
      cv::Mat turned_smoothed = smoothed[c];
      if (after) {
        cv::flip(tones[c], turned_tones, 0);
        cv::flip(smoothed[c], turned_smoothed, 0);
      }
      profiles.push_back({running_rows(turned_smoothed, first_row), ground_sigma(turned_tones)});
    }
    std::vector<Place>& places = places_[after ? 1 : 0];
    places.assign(1, {});
    for (int column = 0; column < along; ++column) {
      Place place = places.back();
      const int first = first_row[static_cast<std::size_t>(column)];
      place.edge_row = std::numeric_limits<float>::quiet_NaN();
      for (const Profile& profile : profiles) {
        if (std::isnan(place.edge_row)) place.edge_row = edge_row(profile, first, column, search.noise);
      }
      if (after) place.edge_row = -place.edge_row;
      const bool asked = kReach - kNear_rows >= first;
      if (!asked) place.edge_row = std::numeric_limits<float>::quiet_NaN();
      place.before.asked += asked;
      place.before.supported += !std::isnan(place.edge_row);
      places.push_back(place);
    }
  }
}

SideEvidence::Count SideEvidence::count(bool outside_after, double from, double to) const {
  const auto& places = places_[outside_after ? 1 : 0];
  const int last = length();
  const auto first = static_cast<std::size_t>(std::clamp(static_cast<int>(std::lround(from)), 0, last));
  const auto end = static_cast<std::size_t>(std::clamp(static_cast<int>(std::lround(to)), 0, last));
  if (end <= first) return {};
  return {places[end].before.asked - places[first].before.asked,
          places[end].before.supported - places[first].before.supported};
}

SideEvidence::Stretch SideEvidence::best_stretch(const EdgeWeights& weights) const {
  Stretch best;
  for (const bool after : {false, true}) {
    const auto& places = places_[after ? 1 : 0];
    double sum = 0.0;
    std::size_t start = 1;
    for (std::size_t i = 1; i < places.size(); ++i) {
      if (places[i].before.asked == places[i - 1].before.asked) continue;
      sum += std::isnan(places[i].edge_row) ? weights.unsupported : weights.supported;
      if (sum <= 0.0) {
        sum = 0.0;
        start = i + 1;
      }
      if (sum > best.log_likelihood) best = {sum, after, start, i + 1};
    }
  }
  return best;
}

Line SideEvidence::fitted(const Stretch& stretch) const {
  const double rows_to_across = std::sqrt(1.0 + line_.slope * line_.slope);
  const auto& places = places_[stretch.outside_after ? 1 : 0];
  Line line = line_;
  for (const double reach_rows : {4.0, 2.0, 1.5}) {
    double w = 0, t = 0, tt = 0, p = 0, tp = 0;
    for (std::size_t i = stretch.first; i < stretch.end; ++i) {
      if (std::isnan(places[i].edge_row)) continue;
      const double along = static_cast<double>(i) - 0.5;
      const double across = line_.across(along) + static_cast<double>(places[i].edge_row) * rows_to_across;
      const double off = (across - line.across(along)) / (reach_rows * rows_to_across);
      if (std::abs(off) >= 1.0) continue;
      const double weight = (1 - off * off) * (1 - off * off);
      w += weight;
      t += weight * along;
      tt += weight * along * along;
      p += weight * across;
      tp += weight * along * across;
    }
    const double spread = tt - t * t / std::max(w, 1e-9);
    if (w < 5 || spread < 25 * w) return line;
    line.slope = std::clamp((tp - t * p / w) / spread, -1.05, 1.05);
    line.offset = (p - line.slope * t) / w;
  }
  return line;
}

}  // namespace platewise
