#include "smooth_surface.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "working_tone.h"

namespace platewise {

namespace {

// Terms of a smooth surface over the plate, coordinates from -1 to 1.
std::array<double, 5> surface_terms(int x, int y, cv::Size size) {
  const double u = 2.0 * x / size.width - 1.0;
  const double v = 2.0 * y / size.height - 1.0;
  return {1.0, u, v, u * u, v * v};
}

}  // namespace

cv::Mat fitted_surface(const cv::Mat& tone, const cv::Mat& where) {
  cv::Mat terms(0, 5, CV_64FC1);
  std::vector<double> tones;
  for (int y = 0; y < tone.rows; y += 3) {
    for (int x = 0; x < tone.cols; x += 3) {
      if (where.at<std::uint8_t>(y, x) == 0) continue;
      const auto row = surface_terms(x, y, tone.size());
      terms.push_back(cv::Mat(1, 5, CV_64FC1, const_cast<double*>(row.data())));
      tones.push_back(static_cast<double>(tone.at<float>(y, x)));
    }
  }
  constexpr std::size_t kEnough = 100;
  if (tones.size() < kEnough) return {};
  const cv::Mat seen(static_cast<int>(tones.size()), 1, CV_64FC1, tones.data());
  cv::Mat weights = cv::Mat::ones(seen.size(), CV_64FC1);
  cv::Mat solution;
  for (int round = 0; round < 5; ++round) {
    const cv::Mat weighted = terms.mul(cv::repeat(weights, 1, 5));
    constexpr double kRidge = 1e-6;
    cv::solve(weighted.t() * terms + kRidge * cv::Mat::eye(5, 5, CV_64FC1), weighted.t() * seen, solution,
              cv::DECOMP_CHOLESKY);
    const cv::Mat residual = seen - terms * solution;
    std::vector<float> sizes(residual.begin<double>(), residual.end<double>());
    const double limit = std::max(1e-4, 3.0 * middle_and_spread(sizes).spread);
    weights = cv::max(1.0 - residual.mul(residual) / (limit * limit), 0.0);
  }
  // Where no rim is, the surface goes on level: a parabola runs away.
  std::vector<float> fitted(seen.rows);
  for (int i = 0; i < seen.rows; ++i)
    fitted[static_cast<std::size_t>(i)] = static_cast<float>(terms.row(i).dot(solution.t()));
  const auto lowest = static_cast<float>(quantile(fitted, 0.02));
  const auto highest = static_cast<float>(quantile(fitted, 0.98));
  cv::Mat surface(tone.size(), CV_32FC1);
  for (int y = 0; y < tone.rows; ++y) {
    for (int x = 0; x < tone.cols; ++x) {
      const auto row = surface_terms(x, y, tone.size());
      double value = 0.0;
      for (int i = 0; i < 5; ++i) value += row[static_cast<std::size_t>(i)] * solution.at<double>(i);
      surface.at<float>(y, x) = std::clamp(static_cast<float>(value), lowest, highest);
    }
  }
  return surface;
}

}  // namespace platewise
