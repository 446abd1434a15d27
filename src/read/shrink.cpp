#include "shrink.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace platewise {
namespace {

constexpr double kMmPerInch = 25.4;
// Enough to find a plate anywhere in a photo and to measure its tones over apertures of 5 x 5.
constexpr double kPixelsWithoutResolution = 4e6;

double working_pixels(int width_px, int height_px, int factor) {
  return std::ceil(static_cast<double>(width_px) / factor) *
         std::ceil(static_cast<double>(height_px) / factor);
}

int smallest_factor(int width_px, int height_px, double pixels_max, int at_least) {
  int factor = at_least;
  while (factor < std::max(width_px, height_px) && working_pixels(width_px, height_px, factor) > pixels_max) {
    ++factor;
  }
  return factor;
}

int nearest_factor(double px_per_mm, const ReadOptions& options) {
  return std::max(1, static_cast<int>(std::lround(px_per_mm / options.working_px_per_mm)));
}

void add_to(std::vector<float>& sum, const std::vector<float>& row) {
  float* to = sum.data();
  const float* from = row.data();
  for (std::size_t i = 0; i < row.size(); ++i) to[i] += from[i];
}

double sum_of(const std::vector<float>& values, int first, int last) {
  double sum = 0.0;
  for (int i = first; i < last; ++i) sum += static_cast<double>(values[static_cast<std::size_t>(i)]);
  return sum;
}

}  // namespace

int shrink_factor(int width_px, int height_px, std::optional<double> credible_dpi,
                  const ReadOptions& options) {
  if (credible_dpi) {
    const int nearest = nearest_factor(*credible_dpi / kMmPerInch, options);
    return smallest_factor(width_px, height_px, options.working_pixels_max, nearest);
  }
  int factor = smallest_factor(width_px, height_px, kPixelsWithoutResolution, 1);
  if (options.plate_long_side_mm) {
    factor = std::min(factor,
                      nearest_factor(std::max(width_px, height_px) / *options.plate_long_side_mm, options));
  }
  return smallest_factor(width_px, height_px, options.working_pixels_max, factor);
}

Shrinker::Shrinker(const ShrinkGrid& grid, bool colour) : grid_(grid), colour_(colour) {
  const int rows = grid.working_rows();
  const int cols = grid.working_cols();
  image_.luminance.create(rows, cols, CV_32FC1);
  image_.darkest.create(rows, cols, CV_32FC1);
  image_.lightest.create(rows, cols, CV_32FC1);
  if (colour) image_.rgb.create(rows, cols, CV_32FC3);
  start_working_row();
}

void Shrinker::start_working_row() {
  const auto width = static_cast<std::size_t>(grid_.width_px);
  columns_.sum.assign(width, 0.0F);
  columns_.least.assign(width, std::numeric_limits<float>::max());
  columns_.greatest.assign(width, std::numeric_limits<float>::lowest());
  if (colour_) {
    columns_.red.assign(width, 0.0F);
    columns_.green.assign(width, 0.0F);
    columns_.blue.assign(width, 0.0F);
  }
  rows_in_cell_ = 0;
}

void Shrinker::add(const LinearRow& row) {
  const float* light = row.luminance.data();
  float* sum = columns_.sum.data();
  float* least = columns_.least.data();
  float* greatest = columns_.greatest.data();
  for (std::size_t i = 0; i < row.luminance.size(); ++i) {
    sum[i] += light[i];
    least[i] = light[i] < least[i] ? light[i] : least[i];
    greatest[i] = light[i] > greatest[i] ? light[i] : greatest[i];
  }
  if (colour_) {
    add_to(columns_.red, row.red);
    add_to(columns_.green, row.green);
    add_to(columns_.blue, row.blue);
  }
  ++rows_in_cell_;
  ++rows_added_;
  const bool cell_is_full = (rows_added_ + grid_.pad_rows) % grid_.factor == 0;
  if (cell_is_full || rows_added_ == grid_.height_px) finish_working_row();
}

int Shrinker::first_col(int working_col) const {
  return std::clamp(working_col * grid_.factor - grid_.pad_cols, 0, grid_.width_px);
}

void Shrinker::finish_working_row() {
  auto* luminance = image_.luminance.ptr<float>(working_row_);
  auto* darkest = image_.darkest.ptr<float>(working_row_);
  auto* lightest = image_.lightest.ptr<float>(working_row_);
  for (int col = 0; col < image_.luminance.cols; ++col) {
    const int first = first_col(col);
    const int last = first_col(col + 1);
    const double share = 1.0 / (static_cast<double>(last - first) * rows_in_cell_);
    luminance[col] = static_cast<float>(sum_of(columns_.sum, first, last) * share);
    darkest[col] = *std::min_element(columns_.least.begin() + first, columns_.least.begin() + last);
    lightest[col] = *std::max_element(columns_.greatest.begin() + first, columns_.greatest.begin() + last);
    if (colour_) {
      image_.rgb.at<cv::Vec3f>(working_row_, col) =
          cv::Vec3f(static_cast<float>(sum_of(columns_.red, first, last) * share),
                    static_cast<float>(sum_of(columns_.green, first, last) * share),
                    static_cast<float>(sum_of(columns_.blue, first, last) * share));
    }
  }
  ++working_row_;
  start_working_row();
}

LinearImage Shrinker::take() {
  return std::move(image_);
}

}  // namespace platewise
