#include "side_evidence.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr int kReach = 11;            // rows of the strip to either side of the line
constexpr int kAlongMean_px = 5;      // averaged along the line before tones are compared
constexpr int kWander = 2;            // a ragged edge may leave its line by so many pixels
constexpr int kTextureLength_px = 21; // of the ground's own variation, along the line
constexpr double kGroundSigmas = 2.5; // step over the ground's variation that counts as an edge
constexpr double kNoiseSigmas = 1.5;  // and over the noise, which the mean over ten pixels has shrunk
constexpr double kLevelGround = 0.5;  // the ground may change by this share of the step in the next strip

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

// One channel of a strip turned so that the ground is above: rows count from the ground inward.
struct Profile {
  cv::Mat smoothed;
  cv::Mat ground_sigma;  // one row
  [[nodiscard]] float tone(int row, int column, int rows) const {
    float sum = 0.0F;
    for (int r = row; r < row + rows; ++r) sum += smoothed.at<float>(r, column);
    return sum / static_cast<float>(rows);
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

bool is_edge(const Profile& profile, int column, double noise) {
  constexpr int kTone_rows = 3;
  constexpr int kNear_rows = 2;  // where the frame leaves no room for more
  const double needed =
      kGroundSigmas * static_cast<double>(profile.ground_sigma.at<float>(0, column)) + kNoiseSigmas * noise;
  for (int edge = kReach - kWander; edge <= kReach + kWander; ++edge) {
    const float inner = profile.tone(edge + 1, column, kTone_rows);
    float outer = profile.tone(edge - kTone_rows, column, kTone_rows);
    if (std::isnan(outer)) outer = profile.tone(edge - kNear_rows, column, kNear_rows);
    const double step = std::abs(inner - outer);
    if (!(step > needed)) continue;
    const float beyond = profile.tone(edge - 2 * kTone_rows, column, kTone_rows);
    if (std::isnan(beyond) || std::abs(outer - beyond) < kLevelGround * step) return true;
  }
  return false;
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
    for (std::size_t c = 0; c < tones.size(); ++c) {
      cv::Mat turned_tones = tones[c];
      Profile profile{smoothed[c], {}};
      if (after) {
        cv::flip(tones[c], turned_tones, 0);
        cv::flip(smoothed[c], profile.smoothed, 0);
      }
      profile.ground_sigma = ground_sigma(turned_tones);
      profiles.push_back(profile);
    }
    std::vector<float>& running = supported_before_[after ? 1 : 0];
    running.assign(1, 0.0F);
    for (int column = 0; column < along; ++column) {
      const bool edge = std::any_of(profiles.begin(), profiles.end(), [&](const Profile& profile) {
        return is_edge(profile, column, search.noise);
      });
      running.push_back(running.back() + (edge ? 1.0F : 0.0F));
    }
  }
}

double SideEvidence::share(bool outside_after, double from, double to) const {
  const auto& running = supported_before_[outside_after ? 1 : 0];
  const int last = length();
  const int first = std::clamp(static_cast<int>(std::lround(from)), 0, last);
  const int end = std::clamp(static_cast<int>(std::lround(to)), 0, last);
  if (end <= first) return 0.0;
  return static_cast<double>(running[static_cast<std::size_t>(end)] -
                             running[static_cast<std::size_t>(first)]) /
         (end - first);
}

}  // namespace platewise
