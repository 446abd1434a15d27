#include "rim_levels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "working_tone.h"

namespace platewise {

namespace {

constexpr int kTerms = 5;
// Of the terms over the whole plate, D: lamps and fog, common practice, no source.
constexpr std::array<double, kTerms> kUsualTerms = {10.0, 0.10, 0.10, 0.04, 0.04};
constexpr double kStray = 1.0;        // D; places that are neither rim nor bare lie anywhere within
constexpr double kStrayShare = 0.03;  // at first
constexpr double kPlainStep = 3.5;    // sigmas; levels nearer than that are one

// Terms of a smooth surface over the plate, coordinates from -1 to 1.
std::array<double, kTerms> surface_terms(int x, int y, cv::Size size) {
  const double u = 2.0 * x / size.width - 1.0;
  const double v = 2.0 * y / size.height - 1.0;
  return {1.0, u, v, u * u, v * v};
}

struct Place {
  std::array<double, kTerms> terms;
  double tone;
};

// A surface and, `step` below it, a second level: a mixture of two Gaussians and of what is neither.
struct TwoLevels {
  cv::Mat surface = cv::Mat::zeros(kTerms, 1, CV_64FC1);
  double step = 0.0;  // 0: one level only
  double sigma = 0.0;
  double rim_share = 1.0;
  double bare_share = 0.0;
  double likelihood = -std::numeric_limits<double>::infinity();
};

double height_of(const cv::Mat& surface, const std::array<double, kTerms>& terms) {
  double height = 0.0;
  for (int i = 0; i < kTerms; ++i) height += terms[static_cast<std::size_t>(i)] * surface.at<double>(i);
  return height;
}

double bell(double z) {
  constexpr double kNorm = 0.3989422804014327;  // 1 / sqrt(2 pi)
  return kNorm * std::exp(-0.5 * z * z);
}

// One round of expectation and maximisation; the likelihood is that of the levels it started from.
void improve(TwoLevels& fit, const std::vector<Place>& places, double least_sigma) {
  cv::Mat normal = cv::Mat::zeros(kTerms, kTerms, CV_64FC1);
  cv::Mat right = cv::Mat::zeros(kTerms, 1, CV_64FC1);
  double rim = 0, bare = 0, bare_depth = 0, squares = 0;
  const double stray = std::max(1e-3, 1.0 - fit.rim_share - fit.bare_share) / kStray;
  fit.likelihood = 0.0;
  for (const Place& place : places) {
    const double above = place.tone - height_of(fit.surface, place.terms);
    const double as_rim = fit.rim_share * bell(above / fit.sigma) / fit.sigma;
    const double as_bare =
        fit.step > 0.0 ? fit.bare_share * bell((above + fit.step) / fit.sigma) / fit.sigma : 0.0;
    const double all = as_rim + as_bare + stray;
    fit.likelihood += std::log(all);
    const double p = as_rim / all;
    const double q = as_bare / all;
    rim += p, bare += q, bare_depth -= q * above;
    squares += p * above * above + q * (above + fit.step) * (above + fit.step);
    for (int i = 0; i < kTerms; ++i) {
      const double term = place.terms[static_cast<std::size_t>(i)];
      right.at<double>(i) += term * (p * place.tone + q * (place.tone + fit.step));
      for (int j = 0; j < kTerms; ++j)
        normal.at<double>(i, j) += (p + q) * term * place.terms[static_cast<std::size_t>(j)];
    }
  }
  for (int i = 0; i < kTerms; ++i) {
    const double usual = kUsualTerms[static_cast<std::size_t>(i)];
    normal.at<double>(i, i) += fit.sigma * fit.sigma / (usual * usual) + 1e-9;
  }
  cv::solve(normal, right, fit.surface, cv::DECOMP_CHOLESKY);
  const auto n = static_cast<double>(places.size());
  fit.sigma = std::max(least_sigma, std::sqrt(squares / std::max(1.0, rim + bare)));
  if (fit.step > 0.0 && bare > 0.0) fit.step = bare_depth / bare;
  fit.rim_share = rim / n;
  fit.bare_share = bare / n;
}

TwoLevels levels_from(double top, double step, const std::vector<Place>& places, double sigma) {
  TwoLevels fit;
  fit.surface.at<double>(0) = top;
  fit.step = step;
  fit.sigma = std::max(2.0 * sigma, step / 4.0);
  if (step <= 0.0) fit.sigma = std::max(2.0 * sigma, 0.03);
  fit.rim_share = step > 0.0 ? 0.6 : 1.0 - kStrayShare;
  fit.bare_share = step > 0.0 ? 0.4 - kStrayShare : 0.0;
  constexpr int kRounds = 16;
  for (int round = 0; round < kRounds; ++round) improve(fit, places, sigma);
  return fit;
}

TwoLevels best_levels(const std::vector<Place>& places, double sigma) {
  std::vector<float> tones;
  tones.reserve(places.size());
  for (const Place& place : places) tones.push_back(static_cast<float>(place.tone));
  TwoLevels best = levels_from(quantile(tones, 0.5), 0.0, places, sigma);
  constexpr std::array kSteps = {0.02, 0.04, 0.07, 0.12, 0.2};
  // Neighbouring places share their noise, so the evidence is less than their number says.
  constexpr double kSharedBy = 6.0;
  constexpr double kPlainlyBetter = 6.0;  // in log likelihood, for the second level
  constexpr double kEnoughRim = 0.4;
  const double top = quantile(tones, 0.75);
  double wanted = best.likelihood + kSharedBy * kPlainlyBetter;
  for (const double step : kSteps) {
    const TwoLevels fit = levels_from(top, step, places, sigma);
    if (fit.step < kPlainStep * fit.sigma || fit.rim_share < kEnoughRim || fit.likelihood <= wanted) continue;
    wanted = fit.likelihood;
    best = fit;
  }
  return best;
}

}  // namespace

std::optional<RimLevels> rim_levels(const cv::Mat& tone, const cv::Mat& where, double sigma) {
  std::vector<Place> places;
  for (int y = 0; y < tone.rows; y += 3) {
    for (int x = 0; x < tone.cols; x += 3) {
      if (where.at<std::uint8_t>(y, x) == 0) continue;
      places.push_back({surface_terms(x, y, tone.size()), static_cast<double>(tone.at<float>(y, x))});
    }
  }
  constexpr std::size_t kEnough = 100;
  if (places.size() < kEnough) return std::nullopt;
  constexpr double kLeastSigma = 0.001;  // D
  const TwoLevels levels = best_levels(places, std::max(kLeastSigma, sigma));
  // Where no rim is, the surface goes on level: a parabola runs away.
  std::vector<float> fitted;
  fitted.reserve(places.size());
  for (const Place& place : places)
    fitted.push_back(static_cast<float>(height_of(levels.surface, place.terms)));
  const auto lowest = static_cast<float>(quantile(fitted, 0.02));
  const auto highest = static_cast<float>(quantile(fitted, 0.98));
  RimLevels rim{cv::Mat(tone.size(), CV_32FC1), levels.step, levels.sigma};
  for (int y = 0; y < tone.rows; ++y) {
    for (int x = 0; x < tone.cols; ++x) {
      const double height = height_of(levels.surface, surface_terms(x, y, tone.size()));
      rim.surface.at<float>(y, x) = std::clamp(static_cast<float>(height), lowest, highest);
    }
  }
  return rim;
}

}  // namespace platewise
