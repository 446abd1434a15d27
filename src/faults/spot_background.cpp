#include "spot_background.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "platewise/stats/distributions.h"
#include "platewise/stats/nfa.h"
#include "spot_response.h"

namespace platewise {
namespace {

constexpr double kLowShare = 0.05;
constexpr double kHighShare = 0.005;
constexpr std::size_t kEnoughPixels = 2000;

struct Tail {
  double middle = 0.0;
  double sigma = 1.0;
};

// How many of all stand at or above the place of a share, the least of them there.
std::size_t down_to(double share, std::size_t count) {
  return count - static_cast<std::size_t>((1.0 - share) * static_cast<double>(count - 1));
}

Tail through(float low, float high) {
  const double z_low = normal_quantile(1.0 - kLowShare);
  const double z_high = normal_quantile(1.0 - kHighShare);
  Tail tail;
  tail.sigma = std::max(kLeastSpotSigma, (high - static_cast<double>(low)) / (z_high - z_low));
  tail.middle = high - z_high * tail.sigma;
  return tail;
}

// The responses of a part of the picture, of which only the upper end is wanted: what lies below is only
// counted.
struct UpperEnd {
  std::vector<float> values;
  std::size_t count = 0;                               // with those below
  float above = std::numeric_limits<float>::lowest();  // all that are greater are there
};

UpperEnd collected_above(float least, const cv::Mat& response, const Mask& where, const cv::Rect& box) {
  UpperEnd end{.values = std::vector<float>(static_cast<std::size_t>(box.area()) + 1), .above = least};
  std::size_t size = 0;
  for (int y = box.y; y < box.y + box.height; ++y) {
    const auto* inside = where.inside.ptr<std::uint8_t>(y);
    const auto* row = response.ptr<float>(y);
    for (int x = box.x; x < box.x + box.width; ++x) {
      const bool counts = inside[x] != 0;
      end.values[size] = row[x];
      size += static_cast<std::size_t>(counts & (row[x] > least));
      end.count += static_cast<std::size_t>(counts);
    }
  }
  end.values.resize(size);
  return end;
}

// What about a tenth of a block's responses exceed, by a few of them.
float above_most(const cv::Mat& response, const Mask& where, const cv::Rect& box) {
  constexpr double kKept = 0.09;  // well more than the lower share, for neighbours differ
  constexpr int kStepPx = 5;
  std::vector<float> some;
  for (int y = box.y; y < box.y + box.height; y += kStepPx)
    for (int x = box.x + y % kStepPx; x < box.x + box.width; x += kStepPx)
      if (where.inside.at<std::uint8_t>(y, x) != 0) some.push_back(response.at<float>(y, x));
  if (some.empty()) return std::numeric_limits<float>::lowest();
  const auto place = some.begin() + static_cast<std::ptrdiff_t>(kKept * static_cast<double>(some.size()));
  std::nth_element(some.begin(), place, some.end(), std::greater<>());
  return *place;
}

// Of all responses of a part.
Tail fitted(UpperEnd& end) {
  const auto place = [&](double share) {
    return end.values.begin() + static_cast<std::ptrdiff_t>(down_to(share, end.count) - 1);
  };
  std::nth_element(end.values.begin(), place(kLowShare), end.values.end(), std::greater<>());
  const float low = *place(kLowShare);
  std::nth_element(end.values.begin(), place(kHighShare), place(kLowShare), std::greater<>());
  return through(low, *place(kHighShare));
}

// The greatest responses of each block in falling order, once, since neighbourhoods overlap.
class Blocks {
 public:
  Blocks(const cv::Mat& response, const Mask& where, int block_px)
      : response_(response), where_(where), whole_({0, 0}, response.size()), block_px_(block_px) {
    across_ = (response.cols + block_px / 2) / block_px + 1;
    down_ = (response.rows + block_px / 2) / block_px + 1;
    for (int y = 0; y < down_; ++y)
      for (int x = 0; x < across_; ++x) {
        const cv::Rect part = box(x, y, 1);
        UpperEnd& block =
            blocks_.emplace_back(collected_above(above_most(response, where, part), response, where, part));
        block.values.shrink_to_fit();
        std::sort(block.values.begin(), block.values.end(), std::greater<>());
      }
  }

  // Of two times two blocks; empty where fewer than `fewest` places count.
  [[nodiscard]] std::optional<Tail> round(int x, int y, std::size_t fewest) const {
    constexpr int kSide = 2;
    Lists falling;
    std::size_t count = 0;
    std::size_t known = 0;
    float above = std::numeric_limits<float>::lowest();
    for (std::size_t i = 0; i < falling.size(); ++i) {
      const int row = y + static_cast<int>(i) / kSide;
      const int column = x + static_cast<int>(i) % kSide;
      if (row >= down_ || column >= across_) continue;
      const int place = row * across_ + column;
      const UpperEnd& block = blocks_[static_cast<std::size_t>(place)];
      falling[i] = {block.values.data(), block.values.data() + block.values.size()};
      count += block.count;
      known += block.values.size();
      above = std::max(above, block.above);
    }
    if (count < fewest) return std::nullopt;
    const std::size_t to_low = down_to(kLowShare, count);
    const std::size_t to_high = down_to(kHighShare, count);
    if (known >= to_low) {
      const float high = greatest_but(falling, to_high);
      const float low = greatest_but(falling, to_low - to_high + 1);
      if (low >= above) return through(low, high);
    }
    return of_everything_in(box(x, y, kSide));
  }

  // Of the whole picture; empty where fewer than `fewest` places count.
  [[nodiscard]] std::optional<Tail> everywhere(std::size_t fewest) const {
    std::size_t count = 0;
    for (const UpperEnd& block : blocks_) count += block.count;
    if (count < fewest) return std::nullopt;
    return of_everything_in(whole_);
  }

 private:
  static constexpr std::size_t kSides = 4;

  // What is left of a block's values.
  struct Falling {
    const float* next = nullptr;
    const float* end = nullptr;
    [[nodiscard]] float at(std::size_t place) const {
      return static_cast<std::size_t>(end - next) > place ? next[place]
                                                          : std::numeric_limits<float>::lowest();
    }
  };
  using Lists = std::array<Falling, kSides>;

  [[nodiscard]] static Falling& greatest_at(Lists& lists, std::size_t place) {
    return *std::max_element(lists.begin(), lists.end(), [&](const Falling& one, const Falling& other) {
      return one.at(place) < other.at(place);
    });
  }

  // The n-th greatest of several falling lists; what is greater is taken off them. Of the list that is
  // greatest at the place n / lists, all down to there is among the n - 1 greatest.
  [[nodiscard]] static float greatest_but(Lists& lists, std::size_t n) {
    while (n > 1) {
      const std::size_t step = std::max<std::size_t>(1, n / kSides);
      greatest_at(lists, step - 1).next += step;
      n -= step;
    }
    return greatest_at(lists, 0).at(0);
  }

  [[nodiscard]] Tail of_everything_in(const cv::Rect& part) const {
    UpperEnd all = collected_above(std::numeric_limits<float>::lowest(), response_, where_, part);
    return fitted(all);
  }

  // Blocks begin half a block before the picture.
  [[nodiscard]] cv::Rect box(int x, int y, int side) const {
    return cv::Rect(x * block_px_ - block_px_ / 2, y * block_px_ - block_px_ / 2, side * block_px_,
                    side * block_px_) &
           whole_;
  }

  const cv::Mat& response_;
  const Mask& where_;
  cv::Rect whole_;
  int block_px_;
  int across_ = 1;
  int down_ = 1;
  std::vector<UpperEnd> blocks_;
};

float blended(const cv::Mat& tiles, double x, double y) {
  const double u = std::clamp(x, 0.0, tiles.cols - 1.0);
  const double v = std::clamp(y, 0.0, tiles.rows - 1.0);
  const int x0 = static_cast<int>(u);
  const int y0 = static_cast<int>(v);
  const int x1 = std::min(x0 + 1, tiles.cols - 1);
  const int y1 = std::min(y0 + 1, tiles.rows - 1);
  const auto fx = static_cast<float>(u - x0);
  const auto fy = static_cast<float>(v - y0);
  return (1 - fy) * ((1 - fx) * tiles.at<float>(y0, x0) + fx * tiles.at<float>(y0, x1)) +
         fy * ((1 - fx) * tiles.at<float>(y1, x0) + fx * tiles.at<float>(y1, x1));
}

}  // namespace

SpotBackground::SpotBackground(const cv::Mat& response, const Mask& where, int tile_px) : tile_px_(tile_px) {
  const Blocks blocks(response, where, tile_px);
  std::optional<Tail> everywhere;  // wanted in few tiles
  const auto of_all = [&] {
    if (!everywhere) everywhere = blocks.everywhere(kEnoughPixels / 4).value_or(Tail{});
    return *everywhere;
  };
  const cv::Size tiles((response.cols + tile_px - 1) / tile_px, (response.rows + tile_px - 1) / tile_px);
  middle_ = cv::Mat(tiles, CV_32FC1);
  sigma_ = cv::Mat(tiles, CV_32FC1);
  for (int ty = 0; ty < tiles.height; ++ty) {
    for (int tx = 0; tx < tiles.width; ++tx) {
      // Neighbourhoods overlap by half a tile on each side.
      const std::optional<Tail> near = blocks.round(tx, ty, kEnoughPixels);
      const Tail tail = near ? *near : of_all();
      middle_.at<float>(ty, tx) = static_cast<float>(tail.middle);
      sigma_.at<float>(ty, tx) = static_cast<float>(tail.sigma);
    }
  }
}

double SpotBackground::deviate(int x, int y, float response) const {
  const double u = (x + 0.5) / tile_px_ - 0.5;
  const double v = (y + 0.5) / tile_px_ - 0.5;
  return (response - blended(middle_, u, v)) / blended(sigma_, u, v);
}

double SpotBackground::log10_tail(int x, int y, float response) const {
  static const double kLow = normal_quantile(1.0 - kLowShare);
  static const double kHigh = normal_quantile(1.0 - kHighShare);
  const double z = deviate(x, y, response);
  if (z <= kHigh) return log10_normal_tail(z);
  return std::log10(kHighShare) - (z - kHigh) / (kHigh - kLow) * std::log10(kLowShare / kHighShare);
}

}  // namespace platewise
