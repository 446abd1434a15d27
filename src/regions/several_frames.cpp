#include "platewise/regions/several_frames.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kLongSidePx = 160.0;

// Detail alone, of one strength everywhere, frames one below the other; shrunk.
cv::Mat detail_of(const DensityImage& plate, bool lying) {
  cv::Mat density = plate.density.clone();
  cv::patchNaNs(density, 0.0);
  const double shrink = kLongSidePx / std::max(density.rows, density.cols);
  cv::Mat small;
  cv::resize(density, small, {}, shrink, shrink, cv::INTER_AREA);
  if (lying) cv::transpose(small, small);
  constexpr double kFine = 1.0;
  constexpr double kBroad = 6.0;
  cv::Mat fine;
  cv::Mat broad;
  cv::GaussianBlur(small, fine, {}, kFine);
  cv::GaussianBlur(small, broad, {}, kBroad);
  cv::Mat detail = fine - broad;
  cv::Mat power;
  cv::GaussianBlur(detail.mul(detail), power, {}, kBroad);
  constexpr double kLeastPower = 1e-4;  // 0.01 D: where there is nothing, nothing counts
  cv::sqrt(power + kLeastPower, power);
  return detail / power;
}

// How alike the plate is to itself `shift` rows further, -1..1; frames may lie a little askew.
double likeness(const cv::Mat& detail, int shift) {
  constexpr int kAcross = 3;
  const int rows = detail.rows - shift;
  const int cols = detail.cols - 2 * kAcross;
  if (rows < 8 || cols < 8) return 0.0;
  const cv::Mat first = detail(cv::Rect(kAcross, 0, cols, rows));
  const cv::Mat second = detail.rowRange(shift, detail.rows);
  cv::Mat score;
  cv::matchTemplate(second, first, score, cv::TM_CCOEFF_NORMED);
  double most = 0.0;
  cv::minMaxLoc(score, nullptr, &most);
  return most;
}

// Share of the plate's width that has an edge at the best straight line near a row.
double border_near(const cv::Mat& detail, int row, int reach) {
  constexpr double kStep = 0.5;  // of the detail's own spread
  constexpr double kMostTilt = 0.03;
  cv::Mat step;
  cv::Sobel(detail, step, CV_32F, 0, 1, 3, 0.125);
  step = cv::abs(step);
  cv::dilate(step, step, cv::Mat::ones(3, 1, CV_8U));
  const int begin = detail.cols / 10;
  const int end = detail.cols - begin;
  double best = 0.0;
  for (int middle = std::max(1, row - reach); middle <= std::min(detail.rows - 2, row + reach); ++middle) {
    for (double tilt = -kMostTilt; tilt <= kMostTilt; tilt += kMostTilt / 3) {
      int seen = 0;
      for (int x = begin; x < end; ++x) {
        const long y = std::lround(middle + tilt * (x - 0.5 * detail.cols));
        if (y >= 0 && y < detail.rows && step.at<float>(static_cast<int>(y), x) > kStep) ++seen;
      }
      best = std::max(best, seen / static_cast<double>(end - begin));
    }
  }
  return best;
}

int frames_along(const cv::Mat& detail) {
  constexpr int kMostFrames = 4;
  constexpr double kAlike = 0.35;
  constexpr double kOutstanding = 1.6;  // times the likeness at other distances: a facade repeats at many
  constexpr double kBorder = 0.7;
  constexpr double kLeastShift = 0.07;  // of the plate
  constexpr double kMostShift = 0.56;
  std::vector<double> alike;  // by shift
  for (int shift = 0; shift <= static_cast<int>(kMostShift * detail.rows); ++shift)
    alike.push_back(shift < kLeastShift * detail.rows ? 0.0 : likeness(detail, shift));
  for (int frames = 2; frames <= kMostFrames; ++frames) {
    const double pitch = static_cast<double>(detail.rows) / frames;
    const int slack = std::max(2, static_cast<int>(0.08 * pitch));
    double best = 0.0;
    double elsewhere = 0.0;
    for (int shift = static_cast<int>(0.3 * pitch); shift <= static_cast<int>(pitch) + slack; ++shift) {
      const double here = alike[static_cast<std::size_t>(shift)];
      (std::abs(shift - pitch) <= slack ? best : elsewhere) =
          std::max(std::abs(shift - pitch) <= slack ? best : elsewhere, here);
    }
    if (best < kAlike || best < kOutstanding * elsewhere) continue;
    bool borders = true;
    for (int k = 1; k < frames; ++k) {
      borders = borders && border_near(detail, static_cast<int>(k * pitch), 2 * slack) > kBorder;
    }
    if (borders) return frames;
  }
  return 1;
}

}  // namespace

int frames_on(const DensityImage& plate) {
  return std::max(frames_along(detail_of(plate, false)), frames_along(detail_of(plate, true)));
}

}  // namespace platewise
