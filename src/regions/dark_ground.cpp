#include "dark_ground.h"

#include <opencv2/imgproc.hpp>
#include <vector>

#include "masked_values.h"

namespace platewise {

namespace {

constexpr int kLongSidePx = 360;          // a film's edge is smooth: coarser pixels suffice to find it
constexpr double kSharpHundredths = 1.2;  // a film's edge is steeper than this
constexpr double kSmallestStep = 0.012;   // D

// Largest minus least value within a square window: van Herk's filter makes squares cheap.
cv::Mat rise_within(const cv::Mat& image, int radius) {
  const cv::Mat window = cv::Mat::ones(2 * radius + 1, 2 * radius + 1, CV_8U);
  cv::Mat high;
  cv::Mat low;
  cv::dilate(image, high, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  cv::erode(image, low, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  return high - low;
}

cv::Mat coarse(const cv::Mat& image, cv::Size size) {
  cv::Mat result;
  cv::resize(image, result, size, 0, 0, cv::INTER_AREA);
  if (image.type() == CV_8UC1) result = result > 127;
  return result;
}

// Mean over a window, of the chosen pixels only.
cv::Mat local_mean(const cv::Mat& image, const cv::Mat& chosen, int size) {
  cv::Mat weight;
  chosen.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::Mat sum;
  cv::Mat count;
  cv::boxFilter(image.mul(weight), sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::boxFilter(weight, count, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  return sum / cv::max(count, 1e-6F);
}

// Takes the rim's unevenness out of the tones, so that one level divides film from bare support everywhere.
void flatten(Ground& ground, double tolerance) {
  const cv::Mat rim = ground.beside & (cv::abs(ground.tone - ground.rim_tone) <= tolerance);
  ground.levels = rim_levels(ground.tone, rim, ground.working->noise_at(ground.rim_tone));
  if (ground.levels) ground.tone = ground.tone - ground.levels->surface + ground.rim_tone;
}

// What the film without picture looks like: the rim where there is one, else the plate's darkest tones.
void look_at_film(Ground& ground) {
  const WorkingTone& working = *ground.working;
  ground.rise = rise_within(ground.tone, ground.pixels(kSharpHundredths / 2.0));
  if (working.noise.empty()) return;
  cv::Mat film;
  double tone = working.noise.front().tone;
  if (ground.rim) {
    tone = ground.rim_tone;
    film = ground.beside & (cv::abs(ground.tone - tone) <= std::max(0.02, 4.0 * working.noise_at(tone)));
  }
  const double sigma = working.noise_at(tone);
  constexpr double kMeanPerSigma = 0.6745;  // median of the absolute value of a Gaussian
  ground.film_texture = kMeanPerSigma * sigma;
  ground.film_spread = sigma;
  ground.least_step = std::max(kSmallestStep, 5.0 * sigma);
  if (film.empty() || cv::countNonZero(film) < 50) return;
  std::vector<float> values = values_in(ground.texture, film);
  ground.film_texture = quantile(values, 0.5);
  values = values_in(ground.tone - local_mean(ground.tone, film, ground.pixels(4.0)), film);
  ground.film_spread = middle_and_spread(values).spread;
  values = values_in(ground.rise, film);
  constexpr double kLargestByChance = 1.9;  // rises by chance seldom exceed so many times their median
  ground.least_step = std::max(kSmallestStep, kLargestByChance * quantile(values, 0.5));
}

}  // namespace

Ground ground_of(const WorkingTone& working, const cv::Mat& plate, const cv::Mat& grain,
                 const HolderOpening& opening) {
  Ground ground;
  const double scale =
      std::min(1.0, kLongSidePx / static_cast<double>(std::max(working.rows(), working.cols())));
  const cv::Size size(static_cast<int>(std::lround(working.cols() * scale)),
                      static_cast<int>(std::lround(working.rows() * scale)));
  ground.working = &working;
  ground.hundredth_px = working.hundredth_px * scale;
  ground.tone = coarse(working.smooth, size);
  ground.plate = coarse(plate, size);
  ground.grain = coarse(grain, size);
  cv::erode(ground.plate, ground.inner, disc(ground.pixels(kUntrustedEdgeHundredths)), {-1, -1}, 1,
            cv::BORDER_CONSTANT, 0);
  ground.rim = opening.side_count() > 0;
  constexpr std::array kSides = {Edge::left, Edge::top, Edge::right, Edge::bottom};
  for (std::size_t i = 0; i < kSides.size(); ++i) {
    if (const auto& side = opening.sides[static_cast<std::size_t>(kSides[i])])
      ground.holder_px[i] = scale * std::min(side->depth_first, side->depth_last);
  }
  std::vector<std::vector<cv::Point>> corners(1);
  for (const Point p : outline_of(opening, working)) {
    corners[0].emplace_back(static_cast<int>(std::lround(p.x * scale)),
                            static_cast<int>(std::lround(p.y * scale)));
  }
  ground.opened = cv::Mat::zeros(size, CV_8UC1);
  cv::fillPoly(ground.opened, corners, 255);
  ground.holder = cv::Mat::zeros(size, CV_8UC1);
  if (ground.rim) cv::polylines(ground.holder, corners, true, 255, 2 * ground.pixels(0.45) + 1);
  constexpr double kBesideHundredths = 2.2;
  cv::dilate(ground.opened, ground.beside, disc(ground.pixels(kBesideHundredths)), {-1, -1}, 1,
             cv::BORDER_CONSTANT, 0);
  constexpr double kClearHundredths = 0.9;  // of the step up to the picture
  cv::Mat blurred;
  cv::dilate(ground.opened, blurred, disc(ground.pixels(kClearHundredths)), {-1, -1}, 1, cv::BORDER_CONSTANT,
             0);
  ground.beside = ground.beside & ~blurred & ground.inner;
  ground.texture = coarse(working.texture, size);
  ground.rim_tone = opening.rim_tone;
  if (opening.side_count() >= 2) flatten(ground, std::max(0.1, 0.3 * opening.contrast));
  look_at_film(ground);
  return ground;
}

}  // namespace platewise
