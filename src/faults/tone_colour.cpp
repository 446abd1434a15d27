#include "tone_colour.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kTones = 24;
constexpr int kParts = 5;  // along either side of the plate
constexpr std::size_t kFewestPx = 12;
constexpr std::size_t kFewestParts = 3;
constexpr double kTail = 0.003;  // of the tones at either end
// Of the brightest light: middle lights lie between the first and one of the last, as it is not known how far
// down the blue reaches. A line through them needs so many tones.
constexpr double kMiddleFrom = 0.15;
constexpr std::array kMiddleTo{0.5, 0.6, 0.7, 0.8};
constexpr double kUpperShare = 0.6;  // the level is that of the middle lights above this share of them
constexpr std::size_t kFewestOfLine = 4;

struct Bounds {
  double low = 0.0;
  double high = 0.0;
};

Bounds bounds_of(const cv::Mat& tone, const cv::Mat& known) {
  std::vector<double> tones;
  for (int y = 0; y < tone.rows; y += 2)
    for (int x = 0; x < tone.cols; x += 2)
      if (known.at<std::uint8_t>(y, x) != 0) tones.push_back(static_cast<double>(tone.at<float>(y, x)));
  if (tones.size() < kFewestPx) return {};
  return {quantile(tones, kTail), quantile(tones, 1.0 - kTail)};
}

struct Cell {
  std::vector<double> tones, reds, blues;
};

// Red and blue over the luminance: mixtures of two colours are lines in these.
Colour shares_of(const Colour& ratios) {
  const double red = std::pow(10.0, ratios[0]);
  const double blue = std::pow(10.0, ratios[1]);
  const double luminance = 0.2126 * red + 0.7152 + 0.0722 * blue;
  return {red / luminance, blue / luminance};
}

Colour ratios_of(const Colour& shares) {
  constexpr double kLeast = 0.01;
  const double green = std::max(kLeast, (1.0 - 0.2126 * shares[0] - 0.0722 * shares[1]) / 0.7152);
  return {std::log10(std::max(kLeast, shares[0]) / green), std::log10(std::max(kLeast, shares[1]) / green)};
}

// A colour over some quantity, by least squares; u of a value far from the middle is that of the slope too.
class ColourLine {
 public:
  ColourLine(const std::vector<double>& x, const std::vector<Colour>& y) {
    const double n = static_cast<double>(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
      middle_x_ += x[i] / n;
      middle_y_ += y[i] * (1.0 / n);
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
      spread_ += (x[i] - middle_x_) * (x[i] - middle_x_);
      slope_ += (y[i] - middle_y_) * (x[i] - middle_x_);
    }
    slope_ *= 1.0 / std::max(spread_, 1e-9);
    for (std::size_t i = 0; i < x.size(); ++i) {
      const Colour off = y[i] - at(x[i]);
      scatter2_ += off.dot(off) / std::max(1.0, n - 2.0);
    }
    count_ = n;
  }
  [[nodiscard]] Colour at(double x) const { return middle_y_ + slope_ * (x - middle_x_); }
  [[nodiscard]] double u_at(double x) const {
    return std::sqrt(scatter2_ *
                     (1.0 / count_ + (x - middle_x_) * (x - middle_x_) / std::max(spread_, 1e-9)));
  }

 private:
  double middle_x_ = 0.0;
  double spread_ = 0.0;
  double scatter2_ = 0.0;
  double count_ = 0.0;
  Colour middle_y_{0.0, 0.0};
  Colour slope_{0.0, 0.0};
};

// As foretold from the lights below `middle_to` of the brightest.
ToneColour foretold(const ToneColour& curve, double middle_to) {
  ToneColour out = curve;
  const double top = curve.tones.back();
  const auto light = [&](double tone) { return std::pow(10.0, tone - top); };
  std::vector<double> lights, inverses, upper_reds, upper_blues;
  std::vector<Colour> shares;
  for (std::size_t i = 0; i < curve.tones.size(); ++i) {
    const double here = light(curve.tones[i]);
    if (here < kMiddleFrom || here > middle_to) continue;
    lights.push_back(here);
    inverses.push_back(1.0 / here);
    shares.push_back(shares_of(curve.colours[i]));
    if (here < kUpperShare * middle_to) continue;
    upper_reds.push_back(curve.colours[i][0]);
    upper_blues.push_back(curve.colours[i][1]);
  }
  if (lights.size() < kFewestOfLine || upper_reds.empty()) return out;
  const ColourLine by_light(lights, shares);
  const ColourLine by_inverse(inverses, shares);
  const Colour level(median(upper_reds), median(upper_blues));
  out.lights_u = std::max(by_light.u_at(1.0), by_inverse.u_at(1.0)) / std::numbers::ln10;
  for (std::size_t i = 0; i < curve.tones.size(); ++i) {
    const double here = light(curve.tones[i]);
    if (here <= middle_to) continue;
    const Colour first = ratios_of(by_light.at(here));
    const Colour second = ratios_of(by_inverse.at(1.0 / here));
    const double bluest_red = std::min({level[0], first[0], second[0]});
    const double bluest_blue = std::max({level[1], first[1], second[1]});
    out.colours[i][0] = std::max(curve.colours[i][0], bluest_red);
    out.colours[i][1] = std::min(curve.colours[i][1], bluest_blue);
  }
  return out;
}

}  // namespace

Colour ToneColour::at(double tone) const {
  if (tone <= tones.front()) return colours.front();
  if (tone >= tones.back()) return colours.back();
  const auto above =
      static_cast<std::size_t>(std::upper_bound(tones.begin(), tones.end(), tone) - tones.begin());
  const double share = (tone - tones[above - 1]) / (tones[above] - tones[above - 1]);
  return colours[above - 1] * (1.0 - share) + colours[above] * share;
}

ToneColour tone_colour(const cv::Mat& tone, const cv::Mat& colour, const cv::Mat& known) {
  const auto [low, high] = bounds_of(tone, known);
  ToneColour curve;
  if (!(high > low)) return curve;
  std::vector<std::array<Cell, kParts * kParts>> cells(kTones);
  for (int y = 0; y < tone.rows; ++y)
    for (int x = 0; x < tone.cols; ++x) {
      if (known.at<std::uint8_t>(y, x) == 0) continue;
      const double t = tone.at<float>(y, x);
      const auto at = static_cast<std::size_t>(std::clamp((t - low) / (high - low), 0.0, 0.9999) * kTones);
      const int row = y * kParts / tone.rows;
      const int column = x * kParts / tone.cols;
      const auto part = static_cast<std::size_t>(row) * kParts + static_cast<std::size_t>(column);
      const cv::Vec2f& c = colour.at<cv::Vec2f>(y, x);
      Cell& cell = cells[at][part];
      cell.tones.push_back(t);
      cell.reds.push_back(static_cast<double>(c[0]));
      cell.blues.push_back(static_cast<double>(c[1]));
    }
  for (const auto& parts : cells) {
    std::vector<double> tones, reds, blues;
    for (const Cell& cell : parts) {
      if (cell.tones.size() < kFewestPx) continue;
      tones.push_back(median(cell.tones));
      reds.push_back(median(cell.reds));
      blues.push_back(median(cell.blues));
    }
    if (tones.size() < kFewestParts) continue;
    curve.tones.push_back(median(tones));
    curve.colours.emplace_back(median(reds), median(blues));
  }
  for (std::size_t i = 1; i < curve.tones.size(); ++i)
    curve.tones[i] = std::max(curve.tones[i], curve.tones[i - 1] + 1e-6);
  if (curve.tones.size() < 2) return {};
  return curve;
}

ToneColour without_blue_lights(const ToneColour& curve) {
  ToneColour best = curve;
  double most = 0.0;
  for (const double middle_to : kMiddleTo) {
    const ToneColour tried = foretold(curve, middle_to);
    const double beyond = cv::norm(tried.colours.back() - curve.colours.back()) - 2.0 * tried.lights_u;
    if (beyond <= most) continue;
    most = beyond;
    best = tried;
  }
  return best;
}

}  // namespace platewise
