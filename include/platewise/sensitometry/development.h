#pragma once

#include <optional>
#include <span>
#include <vector>

#include "platewise/core/quantity.h"
#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

// What development time does to gamma, to the highlight and to fog. A wet plate develops from the silver that
// lies on it and exhausts it, so growth may be nothing once the image is up. Candidates for each quantity:
//   no growth after onset     value(t) = level                                   (half of the prior weight)
//   growth to a limit         value(t) = limit (1 - exp(-rate t))                (the other half)
// The second is Sheppard & Mees 1907 (gelatin plates). Which holds, and how fast, is learnt from plates
// developed for different times; with one time only, the prior's width stays.

struct TimedQuantity {
  double development_s = 0.0;
  Quantity value;
};

struct GrowthPrior {
  Quantity level;                    // of the value at the mean time, before any plate
  double log_rate_times_mean = 0.4;  // ln(rate * mean time): at the mean time 78% of the limit is reached
  double log_rate_u = 0.9;           // common practice, no source
  double plate_scatter = 0.0;  // one sigma from plate to plate at the same settings, in the value's unit
};

struct Growth {
  // One candidate: value(t) = level * (1 - exp(-rate t)) / (1 - exp(-rate reference_s)); rate 0 stands for no
  // growth, value(t) = level.
  struct Candidate {
    double weight = 0.0;
    double rate_per_s = 0.0;
    Quantity level;

    [[nodiscard]] double growth(double development_s, double reference_s) const;
  };
  double reference_s = 1.0;           // geometric mean of the times seen
  std::vector<Candidate> candidates;  // weights sum to 1

  [[nodiscard]] Quantity at(double development_s) const;
  // Value at `to_s` minus value at `from_s` on the same plate.
  [[nodiscard]] Quantity change(double from_s, double to_s) const;
  [[nodiscard]] double no_growth_probability() const;
};

// Posterior over the candidates from values at one or more times (> 0). Asserts at least one.
[[nodiscard]] Growth fit_growth(std::span<const TimedQuantity> values, const GrowthPrior& prior);

struct DevelopmentModel {
  Growth gamma;
  Growth highlight;  // silver at `highlight_log_exposure`
  Growth fog;
  double highlight_log_exposure = 0.0;  // the strongest exposure that all curves share
};

// From the curves that state a development time; empty when none does.
[[nodiscard]] std::optional<DevelopmentModel> fit_development(std::span<const PlateCurve> curves);

// The law of Sheppard & Mees in closed form.
struct GrowthLaw {
  double limit = 0.0;
  double rate_per_s = 0.0;

  [[nodiscard]] double at(double time_s) const;
  // Time that reaches `value`; empty at or beyond the limit, or below zero.
  [[nodiscard]] std::optional<double> time_for(double value) const;
};
// Limit and rate from the values at time_s and 2 time_s; empty when the second is not between one and two
// times the first.
[[nodiscard]] std::optional<GrowthLaw> law_from_two_times(double time_s, double value,
                                                          double value_at_double);

}  // namespace platewise
