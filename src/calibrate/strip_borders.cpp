#include "strip_borders.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

double mean_of(const cv::Mat& picture, cv::Range rows, cv::Range cols) {
  return cv::mean(picture(rows, cols))[0];
}

// Change across each x of the picture that three quarters of its height reach or surpass, in the direction of
// `rise`: a border runs through the whole height, an edge of the scene seldom does.
std::vector<double> change_profile(const cv::Mat& picture, int rise) {
  constexpr int kBlocks = 24;
  std::vector<double> profile(static_cast<std::size_t>(picture.cols), 0.0);
  for (int x = 0; x < picture.cols; ++x) {
    std::vector<double> changes = changes_across(picture, x, kBlocks);
    for (double& change : changes) change *= rise;
    if (!changes.empty()) profile[static_cast<std::size_t>(x)] = quantile(changes, 0.25);
  }
  return profile;
}

}  // namespace

BorderWindow border_window(int picture_width) {
  constexpr double kGapShare = 0.006;
  constexpr double kWidthShare = 0.02;
  return {std::max(1, static_cast<int>(std::lround(kGapShare * picture_width))),
          std::max(3, static_cast<int>(std::lround(kWidthShare * picture_width)))};
}

std::vector<double> changes_across(const cv::Mat& picture, double x, int blocks) {
  const BorderWindow window = border_window(picture.cols);
  const int at = static_cast<int>(std::lround(x));
  const cv::Range left(at - window.gap - window.width, at - window.gap);
  const cv::Range right(at + window.gap, at + window.gap + window.width);
  if (left.start < 0 || right.end > picture.cols) return {};
  std::vector<double> changes;
  for (int block = 0; block < blocks; ++block) {
    const cv::Range rows(block * picture.rows / blocks, (block + 1) * picture.rows / blocks);
    if (!rows.empty()) changes.push_back(mean_of(picture, rows, right) - mean_of(picture, rows, left));
  }
  return changes;
}

// Dynamic programming over the positions of the borders in order: clear changes in the right direction count
// for, strips much wider or narrower than the others against.
StripBorders strip_borders(const cv::Mat& picture, const std::vector<int>& rises) {
  const std::vector<double> change = change_profile(picture, rises.front());
  const double scale = std::max(0.01, 2.0 * robust_sigma(change));  // log light: less is no border
  const auto width = static_cast<std::size_t>(picture.cols);
  const double usual = static_cast<double>(width) / static_cast<double>(rises.size() + 1);
  const auto gain = [&](std::size_t k, std::size_t x) {
    return rises[k] * rises.front() * change[x] / scale;
  };
  const auto penalty = [usual](double spacing) {
    constexpr double kSpread = 0.35;  // hand-pulled strips differ by about a third (common practice)
    const double z = std::log(spacing / usual) / kSpread;
    return z * z;
  };
  constexpr double kEndStrip = 0.25;
  std::vector<std::vector<double>> best(rises.size(), std::vector<double>(width, -1e18));
  std::vector<std::vector<std::size_t>> from(rises.size(), std::vector<std::size_t>(width, 0));
  const auto least = static_cast<std::size_t>(std::max(2.0, 0.3 * usual));
  for (std::size_t x = least; x + least < width; ++x)
    best[0][x] = gain(0, x) - kEndStrip * penalty(static_cast<double>(x));
  for (std::size_t k = 1; k < rises.size(); ++k) {
    for (std::size_t x = least; x + least < width; ++x) {
      for (std::size_t before = least; before + least <= x; ++before) {
        const double value = best[k - 1][before] - penalty(static_cast<double>(x - before));
        if (value > best[k][x]) {
          best[k][x] = value;
          from[k][x] = before;
        }
      }
      best[k][x] += gain(k, x);
    }
  }
  std::vector<double> borders(rises.size());
  std::vector<double> gains(rises.size());
  // First and last strip may go on under the holder's margins: their widths say less.
  for (std::size_t x = least; x + least < width; ++x)
    best.back()[x] -= kEndStrip * penalty(static_cast<double>(width - x));
  const auto end = std::max_element(best.back().begin(), best.back().end());
  auto x = static_cast<std::size_t>(end - best.back().begin());
  for (std::size_t k = rises.size(); k-- > 0;) {
    borders[k] = static_cast<double>(x);
    gains[k] = gain(k, x);
    x = from[k][x];
  }
  return {borders, gains, *end};
}

}  // namespace platewise
