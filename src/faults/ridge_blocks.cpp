#include "ridge_blocks.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kPitchesASide = 7.0;
constexpr double kWider = 1.45;       // pitches finer and coarser that a wave is held against
constexpr int kNear = 4;              // places of the net round a plain square that are looked at too
constexpr double kMostOffFilm = 0.2;  // of a square
constexpr double kFarOut = 4.0;       // robust sigmas: specks and edges shall not ring

// What of the spectrum of one square is looked at.
struct Spectrum {
  int side = 0;
  cv::Mat window;
  std::vector<cv::Point> wanted;  // one of each pair of opposite waves
};

cv::Point wave(int column, int row, int side) {
  return {column > side / 2 ? column - side : column, row > side / 2 ? row - side : row};
}

Spectrum spectrum_of(int side, double px_per_unit, double least_pitch, double most_pitch) {
  Spectrum spectrum{.side = side};
  cv::createHanningWindow(spectrum.window, {side, side}, CV_32F);
  for (int row = 0; row < side; ++row)
    for (int column = 0; column <= side / 2; ++column) {
      const cv::Point k = wave(column, row, side);
      if (k.x == 0 && k.y <= 0) continue;
      const double pitch = side / px_per_unit / std::hypot(k.x, k.y);
      if (pitch >= least_pitch && pitch <= most_pitch) spectrum.wanted.push_back(k);
    }
  return spectrum;
}

// Squared amplitudes of the waves in a square.
cv::Mat power_of(const cv::Mat& square, const Spectrum& spectrum) {
  std::vector<double> values;  // every ninth is enough to tell what is far out
  for (int y = 0; y < square.rows; y += 3)
    for (int x = 0; x < square.cols; x += 3) values.push_back(static_cast<double>(square.at<float>(y, x)));
  const double middle = median(values);
  const double far = kFarOut * std::max(1e-4, robust_sigma(values));
  cv::Mat plain = cv::min(cv::max(square - middle, -far), far);
  plain = (plain - cv::mean(plain)[0]).mul(spectrum.window);
  cv::Mat waves;
  cv::dft(plain, waves, cv::DFT_COMPLEX_OUTPUT);
  std::vector<cv::Mat> parts;
  cv::split(waves, parts);
  return parts[0].mul(parts[0]) + parts[1].mul(parts[1]);
}

double power_at(const cv::Mat& power, cv::Point k) {
  const int side = power.rows;
  return static_cast<double>(power.at<float>((k.y + side) % side, (k.x + side) % side));
}

// Power round one wave: the window spreads each over its neighbours.
double power_round(const cv::Mat& power, cv::Point2d k) {
  const cv::Point middle(static_cast<int>(std::lround(k.x)), static_cast<int>(std::lround(k.y)));
  double sum = 0.0;
  for (int y = -1; y <= 1; ++y)
    for (int x = -1; x <= 1; ++x) sum += power_at(power, middle + cv::Point(x, y));
  return sum / 9.0;
}

// Over what a spectrum that falls steadily along this direction would have here. An edge has one, ridges rise
// from it.
double over_its_direction(const cv::Mat& power, cv::Point2d k) {
  const double finer = power_round(power, kWider * k);
  const double coarser = power_round(power, 1.0 / kWider * k);
  return power_round(power, k) / std::max(1e-12, std::sqrt(finer * coarser));
}

// Over the power of the other directions at the same pitch.
double over_other_directions(const cv::Mat& power, cv::Point2d k) {
  constexpr int kDirections = 12;
  constexpr int kOwn = 2;  // steps of a twelfth of half a turn
  double sum = 0.0;
  for (int step = kOwn; step <= kDirections - kOwn; ++step) {
    const double turn = std::numbers::pi * step / kDirections;
    sum += power_round(
        power, {k.x * std::cos(turn) - k.y * std::sin(turn), k.x * std::sin(turn) + k.y * std::cos(turn)});
  }
  return power_round(power, k) / std::max(1e-12, sum / (kDirections - 2 * kOwn + 1));
}

RidgeBlock plainest_ridges(const cv::Mat& power, const Spectrum& spectrum, double px_per_unit) {
  RidgeBlock block{.on_film = true};
  cv::Point best;
  for (const cv::Point k : spectrum.wanted)
    if (const double strength = over_its_direction(power, k); strength > block.strength) {
      block.strength = strength;
      best = k;
    }
  if (block.strength <= 0.0) return block;
  block.strength = std::min(block.strength, over_other_directions(power, best));
  block.angle = std::atan2(best.y, best.x) + std::numbers::pi / 2.0;
  block.pitch_units = spectrum.side / px_per_unit / std::hypot(best.x, best.y);
  block.amplitude = 2.0 * std::sqrt(power_at(power, best)) / cv::sum(spectrum.window)[0];
  return block;
}

cv::Mat every_second(cv::Size net) {
  cv::Mat chosen = cv::Mat::zeros(net, CV_8UC1);
  for (int y = 0; y < net.height; y += 2)
    for (int x = 0; x < net.width; x += 2) chosen.at<std::uint8_t>(y, x) = 255;
  return chosen;
}

cv::Mat round_plain_ones(const RidgeBlocks& field, double plain) {
  cv::Mat chosen(field.net, CV_8UC1);
  for (int y = 0; y < field.net.height; ++y)
    for (int x = 0; x < field.net.width; ++x)
      chosen.at<std::uint8_t>(y, x) = field.at(x, y).strength >= plain ? 255 : 0;
  cv::dilate(chosen, chosen, cv::Mat::ones(2 * kNear + 1, 2 * kNear + 1, CV_8U));
  return chosen;
}

}  // namespace

RidgeBlocks ridge_blocks(const Evidence& evidence, double least_pitch, double most_pitch, double plain) {
  const double k = evidence.px_per_unit;
  least_pitch = std::max(least_pitch, 2.0 * kWider / k);  // finer waves are still to be told beside it
  if (least_pitch >= most_pitch) return {};
  const int side =
      2 * static_cast<int>(std::lround(0.5 * kPitchesASide * std::sqrt(least_pitch * most_pitch) * k));
  const int step = std::max(1, side / 3);
  RidgeBlocks result{.side_units = side / k, .step_units = step / k};
  const cv::Mat& silver = evidence.silver;
  if (side < 12 || silver.cols < side || silver.rows < side) return result;
  result.net = {(silver.cols - side) / step + 1, (silver.rows - side) / step + 1};
  result.blocks.resize(static_cast<std::size_t>(result.net.area()));
  const Spectrum spectrum = spectrum_of(side, k, least_pitch, most_pitch);
  const int least_on_film = static_cast<int>((1.0 - kMostOffFilm) * side * side);
  const auto look_at = [&](const cv::Mat& wanted) {
    cv::parallel_for_({0, result.net.height}, [&](const cv::Range& rows) {
      for (int y = rows.start; y < rows.end; ++y)
        for (int x = 0; x < result.net.width; ++x) {
          const cv::Rect square(x * step, y * step, side, side);
          if (wanted.at<std::uint8_t>(y, x) == 0 ||
              cv::countNonZero(evidence.film.inside(square)) < least_on_film)
            continue;
          result.blocks[result.place(x, y)] =
              plainest_ridges(power_of(silver(square), spectrum), spectrum, k);
        }
    });
  };
  const cv::Mat first = every_second(result.net);
  look_at(first);
  look_at(round_plain_ones(result, plain) & ~first);
  return result;
}

}  // namespace platewise
