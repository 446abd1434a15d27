#include "slivers.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "mask_pieces.h"
#include "plate_masks.h"

namespace platewise {
namespace {

constexpr double kRadiusUnits = 1.2;  // the film's edge wanders so far from the plate's, twice over
constexpr float kTouchesPx = 2.0F;

template <class Holds>
bool any_pixel(const MaskPiece& piece, Holds holds) {
  return std::any_of(piece.runs.begin(), piece.runs.end(), [&](const PieceRun& run) {
    for (int x = run.from; x < run.to; ++x)
      if (holds(run.y, x)) return true;
    return false;
  });
}

bool touches_edge(const MaskPiece& piece, const cv::Mat& from_edge) {
  return any_pixel(piece, [&](int y, int x) { return from_edge.at<float>(y, x) <= kTouchesPx; });
}

// At half the size, which is fine enough for what is so wide: where bare places are deep all round, and how
// far each pixel lies from there. Both are known within `window` alone.
struct Deep {
  cv::Rect window;
  cv::Mat seeds;
  cv::Mat from_seeds;

  Deep(const cv::Mat& bare, const cv::Mat& from_edge, const cv::Rect& box, double radius, double inset_px) {
    const cv::Size half((bare.cols + 1) / 2, (bare.rows + 1) / 2);
    const int reach =
        static_cast<int>(std::ceil(2.0 * radius)) + 2;  // farther seeds and borders do not count
    window = cv::Rect(box.x / 2 - reach, box.y / 2 - reach, box.width / 2 + 2 * reach + 2,
                      box.height / 2 + 2 * reach + 2) &
             cv::Rect({}, half);
    const cv::Mat small = every_second(bare)(window);
    const cv::Mat small_from_edge = every_second(from_edge)(window);
    cv::Mat depth;
    cv::distanceTransform(small | (small_from_edge <= 0.0F), depth, cv::DIST_L2, 3);
    // From bare alone: beyond the edge is deep enough to carry on along its sides.
    seeds = (depth > radius / 2.0) & (small_from_edge > radius - inset_px) & small;
    cv::distanceTransform(~seeds, from_seeds, cv::DIST_L2, 3);
  }
  [[nodiscard]] const std::uint8_t* seeds_of(int y) const {
    return seeds.ptr<std::uint8_t>(y / 2 - window.y) - window.x;
  }
  [[nodiscard]] const float* from_seeds_of(int y) const {
    return from_seeds.ptr<float>(y / 2 - window.y) - window.x;
  }
};

}  // namespace

void take_slivers_off(cv::Mat& bare, const cv::Mat& from_edge, const SliverOptions& options) {
  const double radius = kRadiusUnits * options.px_per_unit;
  constexpr double kRoundAgain = 1.3;
  std::vector<MaskPiece> pieces = pieces_of(bare);
  if (options.keep_bays)
    std::erase_if(pieces, [&](const MaskPiece& piece) { return !touches_edge(piece, from_edge); });
  if (pieces.empty()) return;
  cv::Rect box;
  for (const MaskPiece& piece : pieces) box |= piece.box;
  const Deep deep(bare, from_edge, box, radius, options.inset_px);
  const double beyond = options.keep_bays ? 2.0 * radius - options.inset_px : 1e9;
  cv::Mat rest = cv::Mat::zeros(bare.size(), CV_8UC1);
  for (const MaskPiece& piece : pieces) {
    paint(piece, bare, 0);
    for (const PieceRun& run : piece.runs) {
      const float* away = from_edge.ptr<float>(run.y);
      const float* from_deep = deep.from_seeds_of(run.y);
      std::uint8_t* kept = rest.ptr<std::uint8_t>(run.y);
      for (int x = run.from; x < run.to; ++x)
        kept[x] = away[x] <= beyond && from_deep[x / 2] > kRoundAgain * radius / 2.0 ? 0 : 255;
    }
  }
  // What was cut off from all that is deep was sliver too.
  for (const MaskPiece& piece : pieces_of(rest))
    if (any_pixel(piece, [&](int y, int x) { return deep.seeds_of(y)[x / 2] != 0; })) paint(piece, bare, 255);
}

}  // namespace platewise
