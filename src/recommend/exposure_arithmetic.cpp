#include "platewise/recommend/exposure_arithmetic.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace platewise {
namespace {

constexpr double kMarkings[] = {1,   1.1, 1.2, 1.4, 1.6, 1.8, 2,  2.2, 2.5, 2.8, 3.2, 3.5, 4,
                                4.5, 5,   5.6, 6.3, 7.1, 8,   9,  10,  11,  13,  14,  16,  18,
                                20,  22,  25,  28,  32,  36,  40, 45,  51,  57,  64};
// Whole-stop shutter markings below a second.
constexpr double kShutter_s[] = {1.0 / 1000, 1.0 / 500, 1.0 / 250, 1.0 / 125, 1.0 / 60,
                                 1.0 / 30,   1.0 / 15,  1.0 / 8,   1.0 / 4,   1.0 / 2};

struct Beat {
  double from_s;
  double step_s;
};
constexpr Beat kBeats[] = {{1.0, 0.5}, {4.0, 1.0}, {20.0, 2.0}, {60.0, 5.0}};

double ratio(double a, double b) {
  return std::abs(std::log(a / b));
}

std::optional<double> above_zero(const std::optional<double>& value) {
  return value && *value > 0 ? value : std::nullopt;
}

}  // namespace

double time_after(double time_s, double stops) {
  return time_s * std::exp2(stops);
}

double time_after(double time_s, double stops, double schwarzschild_p) {
  return time_after(time_s, stops / schwarzschild_p);
}

std::optional<double> stops_between(const PlateSettings& from, const PlateSettings& to) {
  const auto before_s = above_zero(from.exposure_s);
  const auto after_s = above_zero(to.exposure_s);
  if (!before_s || !after_s) return std::nullopt;
  const auto before_n = above_zero(from.aperture);
  const auto after_n = above_zero(to.aperture);
  if (before_n.has_value() != after_n.has_value()) return std::nullopt;
  if (from.bellows_ratio.has_value() != to.bellows_ratio.has_value()) return std::nullopt;
  const double p = to.schwarzschild_p ? *to.schwarzschild_p : from.schwarzschild_p.value_or(1.0);
  double stops = p * std::log2(*after_s / *before_s);
  if (before_n) stops -= 2.0 * std::log2(*after_n / *before_n);
  if (from.bellows_ratio) stops -= extension_stops(*to.bellows_ratio / *from.bellows_ratio);
  return stops;
}

double aperture_after(double f_number, double stops) {
  return f_number * std::exp2(-0.5 * stops);
}

double nearest_marking(double f_number) {
  return *std::min_element(std::begin(kMarkings), std::end(kMarkings),
                           [&](double a, double b) { return ratio(a, f_number) < ratio(b, f_number); });
}

double extension_factor(double scale) {
  return (1.0 + scale) * (1.0 + scale);
}

double extension_stops(double bellows_ratio) {
  return 2.0 * std::log2(bellows_ratio);
}

double reciprocity_loss_stops(double time_s) {
  constexpr double kNone_s = 10.0;
  constexpr double kThird_s = 30.0;
  constexpr double kTwoThirds_s = 120.0;
  if (time_s <= kNone_s) return 0.0;
  if (time_s <= kThird_s) return std::log(time_s / kNone_s) / std::log(kThird_s / kNone_s) / 3.0;
  return (1.0 + std::log(time_s / kThird_s) / std::log(kTwoThirds_s / kThird_s)) / 3.0;
}

double hand_exposure_s(double exact_s) {
  double best = kShutter_s[0];
  for (const double marking : kShutter_s) {
    if (ratio(marking, exact_s) < ratio(best, exact_s)) best = marking;
  }
  for (const Beat& beat : kBeats) {
    const double below = std::max(beat.from_s, std::floor(exact_s / beat.step_s) * beat.step_s);
    const double end = &beat == std::end(kBeats) - 1 ? below + beat.step_s : (&beat + 1)->from_s;
    for (const double time : {std::min(below, end), std::min(below + beat.step_s, end)}) {
      if (ratio(time, exact_s) < ratio(best, exact_s)) best = time;
    }
  }
  return best;
}

double hand_development_s(double exact_s) {
  constexpr double kShortest_s = 2.0;
  return std::max(kShortest_s, std::round(exact_s));
}

}  // namespace platewise
