#include "patches.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "apertures.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kInsetUnits = 0.25;  // edges are blurred by scanner and penumbra
constexpr double kReadingU = 0.003;   // no reading is better (density_practice.json: 0.006 at k = 2)
constexpr std::size_t kFewestPixels = 60;
constexpr std::size_t kFewestOfAPart = 30;

// The plate's triangles between its centre and each side: top, right, bottom, left.
std::size_t nearest_side(int x, int y, int cols, int rows) {
  const std::array<double, 4> distance{y + 0.5, cols - x - 0.5, rows - y - 0.5, x + 0.5};
  return static_cast<std::size_t>(std::min_element(distance.begin(), distance.end()) - distance.begin());
}

// Standard error of the whole from how far the sides' medians lie apart.
double u_between(const std::array<std::vector<double>, 4>& sides, double whole) {
  double sum2 = 0.0;
  int count = 0;
  for (const auto& side : sides) {
    if (side.size() < kFewestOfAPart) continue;
    const double apart = median(side) - whole;
    sum2 += apart * apart;
    ++count;
  }
  return count < 2 ? 0.0 : std::sqrt(sum2 / ((count - 1.0) * count));
}

}  // namespace

std::optional<Quantity> patch_density(const PlateDensity& plate, const Mask& patch,
                                      double least_area_units2) {
  if (patch.empty()) return std::nullopt;
  const double px = plate.image.px_per_unit;
  const Mask inner = inset(patch, static_cast<int>(std::lround(kInsetUnits * px)));
  std::vector<double> all;
  std::array<std::vector<double>, 4> sides;
  for (int y = 0; y < inner.inside.rows; ++y) {
    for (int x = 0; x < inner.inside.cols; ++x) {
      const float density = plate.image.density.at<float>(y, x);
      if (inner.inside.at<std::uint8_t>(y, x) == 0 || !std::isfinite(density)) continue;
      all.push_back(density);
      sides[nearest_side(x, y, inner.inside.cols, inner.inside.rows)].push_back(density);
    }
  }
  if (all.size() < kFewestPixels || static_cast<double>(all.size()) < least_area_units2 * px * px) {
    return std::nullopt;
  }
  const double value = median(all);
  return Quantity{value, std::hypot(kReadingU, u_between(sides, value))};
}

}  // namespace platewise
