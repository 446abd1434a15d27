#include "front_path.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "platewise/stats/random.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr float kNever = -1e9F;

struct Best {
  double score = 0.0;
  std::vector<int> row;
};

// Dynamic programming over (row, shift per block).
class Tracer {
 public:
  Tracer(const FrontShape& shape, int rows, int blocks)
      : shape_(shape), rows_(rows), blocks_(blocks), shifts_(2 * shape.most_shift_px + 1) {
    now_.resize(static_cast<std::size_t>(rows_) * static_cast<std::size_t>(shifts_));
    next_.resize(now_.size());
  }

  // from_row[b]: by how many rows block b is moved down (wrapping round).
  Best trace(const cv::Mat& scores, const std::vector<int>& moved, bool with_path) {
    if (with_path) came_from_.assign(now_.size() * static_cast<std::size_t>(blocks_), 0);
    for (int y = 0; y < rows_; ++y)
      for (int s = 0; s < shifts_; ++s) now_[at(y, s)] = score(scores, moved, y, 0);
    for (int b = 1; b < blocks_; ++b) step(scores, moved, b, with_path);
    const auto top = std::max_element(now_.begin(), now_.end());
    Best best{.score = *top, .row = {}};
    if (with_path) best.row = path_to(static_cast<int>(top - now_.begin()));
    return best;
  }

 private:
  [[nodiscard]] std::size_t at(int y, int s) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(shifts_) + static_cast<std::size_t>(s);
  }
  [[nodiscard]] float score(const cv::Mat& scores, const std::vector<int>& moved, int y, int b) const {
    int from = y - moved[static_cast<std::size_t>(b)];
    if (from < 0) from += rows_;
    return scores.at<float>(from, b);
  }

  void step(const cv::Mat& scores, const std::vector<int>& moved, int b, bool with_path) {
    const auto turn = static_cast<float>(shape_.cost_of_turn);
    for (int y = 0; y < rows_; ++y) {
      const float here = score(scores, moved, y, b);
      for (int s = 0; s < shifts_; ++s) {
        const int from = y - (s - shape_.most_shift_px);
        float best = kNever;
        int turned = 0;
        if (from >= 0 && from < rows_) {
          for (int t = -1; t <= 1; ++t) {
            if (s + t < 0 || s + t >= shifts_) continue;
            const float value = now_[at(from, s + t)] - (t == 0 ? 0.0F : turn);
            if (value > best) {
              best = value;
              turned = t;
            }
          }
        }
        next_[at(y, s)] = best + here;
        if (with_path)
          came_from_[static_cast<std::size_t>(b) * now_.size() + at(y, s)] =
              static_cast<std::int16_t>(turned);
      }
    }
    now_.swap(next_);
  }

  [[nodiscard]] std::vector<int> path_to(int state) const {
    std::vector<int> row(static_cast<std::size_t>(blocks_));
    int y = state / shifts_;
    int s = state % shifts_;
    for (int b = blocks_ - 1; b >= 0; --b) {
      row[static_cast<std::size_t>(b)] = y;
      if (b == 0) break;
      const int turned = came_from_[static_cast<std::size_t>(b) * now_.size() + at(y, s)];
      y -= s - shape_.most_shift_px;
      s += turned;
    }
    return row;
  }

  FrontShape shape_;
  int rows_;
  int blocks_;
  int shifts_;
  std::vector<float> now_, next_;
  std::vector<std::int16_t> came_from_;
};

}  // namespace

bool Blocks::mean(int block, int from, int to, double& value) const {
  constexpr double kLeastKnown = 2.0 / 3.0;
  if (from < 0 || to > rows) return false;
  const double n = count.at<double>(to, block) - count.at<double>(from, block);
  if (n < kLeastKnown * (to - from) * width_px) return false;
  value = (sum.at<double>(to, block) - sum.at<double>(from, block)) / n;
  return true;
}

Blocks in_blocks(const FlowPicture& picture, int width_px) {
  Blocks result;
  result.width_px = width_px;
  result.rows = picture.silver.rows;
  result.blocks = picture.silver.cols / width_px;
  result.sum = cv::Mat::zeros(result.rows + 1, result.blocks, CV_64FC1);
  result.count = cv::Mat::zeros(result.rows + 1, result.blocks, CV_64FC1);
  for (int y = 0; y < result.rows; ++y) {
    const auto* silver = picture.silver.ptr<float>(y);
    const auto* known = picture.known.ptr<std::uint8_t>(y);
    for (int b = 0; b < result.blocks; ++b) {
      double sum = 0.0;
      int count = 0;
      for (int x = b * width_px; x < (b + 1) * width_px; ++x) {
        if (known[x] == 0) continue;
        sum += static_cast<double>(silver[x]);
        ++count;
      }
      result.sum.at<double>(y + 1, b) = result.sum.at<double>(y, b) + sum;
      result.count.at<double>(y + 1, b) = result.count.at<double>(y, b) + count;
    }
  }
  return result;
}

cv::Mat Blocks::known() const {
  cv::Mat result = cv::Mat::zeros(rows, blocks, CV_8UC1);
  for (int y = 0; y < rows; ++y)
    for (int b = 0; b < blocks; ++b)
      if (2.0 * (count.at<double>(y + 1, b) - count.at<double>(y, b)) > width_px)
        result.at<std::uint8_t>(y, b) = 255;
  return result;
}

FrontPath best_front(const std::vector<cv::Mat>& scores, const FrontShape& shape, int apart_px) {
  FrontPath path;
  const int rows = scores.front().rows;
  const int blocks = scores.front().cols;
  if (rows < 2 * apart_px || blocks < 2 * shape.chunk_blocks) return path;
  Tracer tracer(shape, rows, blocks);
  const std::vector<int> in_place(static_cast<std::size_t>(blocks), 0);
  for (std::size_t i = 0; i < scores.size(); ++i) {
    const double score = tracer.trace(scores[i], in_place, false).score;
    if (i > 0 && score <= path.score) continue;
    path.score = score;
    path.which = i;
  }
  path.row = tracer.trace(scores[path.which], in_place, true).row;
  constexpr float kClosed = -2.0F;
  cv::Mat elsewhere = scores[path.which].clone();
  for (int b = 0; b < blocks; ++b) {
    const int at = path.row[static_cast<std::size_t>(b)];
    for (int y = std::max(0, at - apart_px); y < std::min(rows, at + apart_px + 1); ++y)
      elsewhere.at<float>(y, b) = kClosed;
  }
  path.runner_up = tracer.trace(elsewhere, in_place, false).score;
  return path;
}

double log10_nfa_of(const FrontPath& path, const std::vector<cv::Mat>& scores, const FrontShape& shape) {
  constexpr int kPictures = 14;
  const int rows = scores.front().rows;
  const int blocks = scores.front().cols;
  Tracer tracer(shape, rows, blocks);
  Random random(20261126);  // the same for every plate: a result must repeat
  std::vector<int> moved(static_cast<std::size_t>(blocks), 0);
  std::vector<double> chance;
  for (int i = 0; i < kPictures; ++i) {
    int shift = 0;
    const auto offset = random.whole(0, shape.chunk_blocks - 1);
    for (int b = 0; b < blocks; ++b) {
      if (b == 0 || (b + offset) % shape.chunk_blocks == 0)
        shift = static_cast<int>(random.whole(0, rows - 1));
      moved[static_cast<std::size_t>(b)] = shift;
    }
    double most = 0.0;
    for (const cv::Mat& picture : scores) most = std::max(most, tracer.trace(picture, moved, false).score);
    chance.push_back(most);
  }
  double mean = 0.0;
  for (const double c : chance) mean += c / kPictures;
  double square = 0.0;
  for (const double c : chance) square += (c - mean) * (c - mean) / (kPictures - 1);
  // Gumbel by moments; a fifth more spread for what fourteen pictures tell of it.
  constexpr double kWiden = 1.2;
  constexpr double kLeastSpread = 0.5;
  const double beta = std::max(kLeastSpread, kWiden * std::sqrt(6.0 * square) / std::numbers::pi);
  const double z = (path.score - (mean - std::numbers::egamma * beta)) / beta;
  return z > 3.0 ? -z / std::numbers::ln10 : std::log10(1.0 - std::exp(-std::exp(-z)));
}

}  // namespace platewise
