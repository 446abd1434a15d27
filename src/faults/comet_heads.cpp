#include "comet_heads.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

// Handbook: heads 0.2-2 mm. Half of that, with steps of half an octave.
constexpr double kLeastRadiusUnits = 0.1;
constexpr double kMostRadiusUnits = 1.0;
constexpr double kLeastRadiusPx = 1.2;
constexpr double kScaleStep = 1.45;
constexpr double kLevelRadiusPx = 2.5;  // larger ones are looked for on a shrunk picture
constexpr std::size_t kPlaces = 12;
constexpr std::size_t kTwiceRound = 2 * kPlaces;
constexpr std::size_t kTailPlaces = 3;  // that may belong to the tail
constexpr double kRingRadii = 2.2;
constexpr double kRingMorePx = 1.0;
constexpr double kLeastScatter = 0.004;  // silver: flat tones of 8-bit scans have steps of about that

struct Level {
  int factor = 1;
  double radius_px = 1.0;  // on this level
  cv::Mat mean;            // over the spot
  cv::Mat film;
  double noise = 0.0;  // of such a mean, by grain
};

Level level_of(const Evidence& evidence, double radius_px) {
  Level level{.factor = std::max(1, static_cast<int>(std::lround(radius_px / kLevelRadiusPx)))};
  level.radius_px = radius_px / level.factor;
  cv::Mat silver = evidence.silver;
  level.film = evidence.film.inside;
  if (level.factor > 1) {
    const cv::Size size(silver.cols / level.factor, silver.rows / level.factor);
    cv::resize(evidence.silver, silver, size, 0, 0, cv::INTER_AREA);
    cv::resize(evidence.film.inside, level.film, size, 0, 0, cv::INTER_NEAREST);
  }
  cv::GaussianBlur(silver, level.mean, {}, 0.5 * level.radius_px, 0, cv::BORDER_REPLICATE);
  level.noise = evidence.grain / (2.0 * std::sqrt(std::numbers::pi) * 0.5 * radius_px);
  return level;
}

class Ring {
 public:
  explicit Ring(double radius_px) {
    const double distance = kRingRadii * radius_px + kRingMorePx;
    for (std::size_t i = 0; i < kPlaces; ++i) {
      const double turn = 2.0 * std::numbers::pi * static_cast<double>(i) / kPlaces;
      places_[i] = {static_cast<int>(std::lround(distance * std::cos(turn))),
                    static_cast<int>(std::lround(distance * std::sin(turn)))};
    }
    reach_ = static_cast<int>(std::ceil(distance)) + 1;
  }
  [[nodiscard]] int reach() const { return reach_; }

  // Response and scatter with the three neighbouring places left out that hold most.
  void judge(const cv::Mat& mean, cv::Point at, CometHead& head) const {
    const double sign = head.sign;
    std::array<double, kTwiceRound> values{};
    for (std::size_t i = 0; i < kPlaces; ++i)
      values[i] = values[i + kPlaces] = sign * mean.at<float>(at + places_[i]);
    std::array<double, kTwiceRound> of_three{};  // the most of each and the two after it
    for (std::size_t i = 0; i + 2 < kTwiceRound; ++i)
      of_three[i] = std::max({values[i], values[i + 1], values[i + 2]});
    const double here = sign * mean.at<float>(at);
    head.response = -1.0;
    std::size_t best = 0;
    for (std::size_t first = 0; first < kPlaces; ++first) {
      static_assert(kPlaces - kTailPlaces == 9);
      const double* kept = &of_three[first + kTailPlaces];
      const double most = std::max({kept[0], kept[3], kept[6]});
      if (here - most <= head.response) continue;
      head.response = here - most;
      best = first;
    }
    if (head.response <= 0.0) return;
    double sum = 0.0;
    double squares = 0.0;
    for (std::size_t k = kTailPlaces; k < kPlaces; ++k) {
      const double v = values[best + k];
      sum += v;
      squares += v * v;
    }
    constexpr double kKept = kPlaces - kTailPlaces;
    head.standing_out = std::sqrt(std::max(0.0, squares / kKept - sum * sum / kKept / kKept));
  }

 private:
  std::array<cv::Point, kPlaces> places_;
  int reach_ = 1;
};

bool is_extreme(const cv::Mat& mean, cv::Point at, int sign) {
  const float here = static_cast<float>(sign) * mean.at<float>(at);
  for (int y = -1; y <= 1; ++y)
    for (int x = -1; x <= 1; ++x)
      if ((x != 0 || y != 0) && static_cast<float>(sign) * mean.at<float>(at.y + y, at.x + x) > here)
        return false;
  return true;
}

void look_at(const Evidence& evidence, double radius_px, std::vector<CometHead>& heads) {
  const Level level = level_of(evidence, radius_px);
  const Ring ring(level.radius_px);
  const int edge = ring.reach();
  for (int y = edge; y < level.mean.rows - edge; ++y) {
    const auto* row = level.mean.ptr<float>(y);
    const auto* inside = level.film.ptr<std::uint8_t>(y);
    for (int x = edge; x < level.mean.cols - edge; ++x) {
      if (inside[x] == 0) continue;
      const bool most = row[x] >= row[x - 1] && row[x] >= row[x + 1];
      const bool least = row[x] <= row[x - 1] && row[x] <= row[x + 1];
      if (most == least) continue;
      CometHead head{.radius_px = radius_px, .sign = most ? 1 : -1};
      if (!is_extreme(level.mean, {x, y}, head.sign)) continue;
      ring.judge(level.mean, {x, y}, head);
      if (head.response <= 0.0) continue;
      head.standing_out = head.response / std::hypot(head.standing_out, level.noise, kLeastScatter);
      head.at = {x * level.factor + level.factor / 2, y * level.factor + level.factor / 2};
      heads.push_back(head);
    }
  }
}

}  // namespace

std::vector<CometHead> comet_heads(const Evidence& evidence, std::size_t most_of_a_size) {
  const double k = evidence.px_per_unit;
  std::vector<CometHead> heads;
  for (double r = std::max(kLeastRadiusPx, kLeastRadiusUnits * k); r <= kMostRadiusUnits * k;
       r *= kScaleStep) {
    std::vector<CometHead> of_size;
    look_at(evidence, r, of_size);
    const auto kept = std::min(most_of_a_size, of_size.size());
    std::partial_sort(of_size.begin(), of_size.begin() + static_cast<std::ptrdiff_t>(kept), of_size.end(),
                      [](const CometHead& a, const CometHead& b) {
                        if (a.standing_out != b.standing_out) return a.standing_out > b.standing_out;
                        return a.at.y != b.at.y ? a.at.y < b.at.y : a.at.x < b.at.x;
                      });
    of_size.resize(kept);
    heads.insert(heads.end(), of_size.begin(), of_size.end());
  }
  return heads;
}

}  // namespace platewise
