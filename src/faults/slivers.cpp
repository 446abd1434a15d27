#include "slivers.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kRadiusUnits = 1.2;  // the film's edge wanders so far from the plate's, twice over
constexpr float kTouchesPx = 2.0F;

// By label, 255 for pieces that touch the edge.
std::vector<std::uint8_t> at_edge(const cv::Mat& labels, int count, const cv::Mat& from_edge) {
  std::vector<std::uint8_t> touches(static_cast<std::size_t>(count), 0);
  for (int y = 0; y < labels.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    const float* away = from_edge.ptr<float>(y);
    for (int x = 0; x < labels.cols; ++x)
      if (away[x] <= kTouchesPx) touches[static_cast<std::size_t>(label[x])] = 255;
  }
  touches[0] = 0;
  return touches;
}

cv::Mat every_second(const cv::Mat& full, cv::Size half) {
  cv::Mat small;
  cv::resize(full, small, half, 0.0, 0.0, cv::INTER_NEAREST);
  return small;
}

// What was cut off from all that is deep was sliver too. `seeds` at half the size; pieces away from the edge
// stay.
void drop_what_is_cut_off(const cv::Mat& seeds, const cv::Mat& labels,
                          const std::vector<std::uint8_t>& touches, cv::Mat& bare) {
  cv::Mat rest;
  const int parts = cv::connectedComponents(bare, rest, 4, CV_32S);
  std::vector<std::uint8_t> keeps(static_cast<std::size_t>(parts), 0);
  for (int y = 0; y < bare.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    const int* part = rest.ptr<int>(y);
    const std::uint8_t* seed = seeds.ptr<std::uint8_t>(y / 2);
    for (int x = 0; x < bare.cols; ++x)
      if (part[x] != 0 && (seed[x / 2] != 0 || touches[static_cast<std::size_t>(label[x])] == 0))
        keeps[static_cast<std::size_t>(part[x])] = 255;
  }
  for (int y = 0; y < bare.rows; ++y) {
    const int* part = rest.ptr<int>(y);
    std::uint8_t* kept = bare.ptr<std::uint8_t>(y);
    for (int x = 0; x < bare.cols; ++x)
      if (keeps[static_cast<std::size_t>(part[x])] == 0) kept[x] = 0;
  }
}

}  // namespace

void take_slivers_off(cv::Mat& bare, const cv::Mat& from_edge, const SliverOptions& options) {
  const double radius = kRadiusUnits * options.px_per_unit;
  constexpr double kRoundAgain = 1.3;
  cv::Mat labels;
  const int count = cv::connectedComponents(bare, labels, 4, CV_32S);
  if (count <= 1) return;
  std::vector<std::uint8_t> touches(static_cast<std::size_t>(count), 255);
  if (options.keep_bays) touches = at_edge(labels, count, from_edge);
  if (std::count(touches.begin() + 1, touches.end(), 255) == 0) return;
  // Half the size is fine enough for what is this wide.
  const cv::Size half((bare.cols + 1) / 2, (bare.rows + 1) / 2);
  const cv::Mat small = every_second(bare, half);
  const cv::Mat small_from_edge = every_second(from_edge, half);
  cv::Mat depth;
  cv::distanceTransform(small | (small_from_edge <= 0.0F), depth, cv::DIST_L2, 3);
  // From bare alone: beyond the edge is deep enough to carry on along its sides.
  const cv::Mat seeds = (depth > radius / 2.0) & (small_from_edge > radius - options.inset_px) & small;
  cv::Mat from_seeds;
  cv::distanceTransform(~seeds, from_seeds, cv::DIST_L2, 3);
  const double beyond = options.keep_bays ? 2.0 * radius - options.inset_px : 1e9;
  for (int y = 0; y < bare.rows; ++y) {
    const int* label = labels.ptr<int>(y);
    const float* away = from_edge.ptr<float>(y);
    const float* from_deep = from_seeds.ptr<float>(y / 2);
    std::uint8_t* kept = bare.ptr<std::uint8_t>(y);
    for (int x = 0; x < bare.cols; ++x)
      if (kept[x] != 0 && away[x] <= beyond && from_deep[x / 2] > kRoundAgain * radius / 2.0 &&
          touches[static_cast<std::size_t>(label[x])] != 0)
        kept[x] = 0;
  }
  drop_what_is_cut_off(seeds, labels, touches, bare);
}

}  // namespace platewise
