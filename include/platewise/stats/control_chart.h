#pragma once

#include <span>
#include <vector>

namespace platewise {

// Control charts: is a row of single measurements steady, or does something drift?
// Sources: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2 (individuals and moving range), 6.3.2.4
// (EWMA); Western Electric Co., Statistical Quality Control Handbook, 1956 (the four run rules).

struct ChartLimits {
  double centre = 0.0;
  double sigma = 0.0;  // mean moving range / 1.128
  [[nodiscard]] double lower() const { return centre - 3.0 * sigma; }
  [[nodiscard]] double upper() const { return centre + 3.0 * sigma; }
};

// Centre and spread of individual values from their moving range. Needs two values; fewer give sigma 0.
[[nodiscard]] ChartLimits individuals_limits(std::span<const double> values);

// A point at which a rule first holds. Rule 1: one point beyond 3 sigma; 2: two of three beyond 2 sigma on
// one side; 3: four of five beyond 1 sigma on one side; 4: eight in a row on one side. "Beyond" is strict;
// the newest point need not itself be beyond for rules 2 and 3. Rule 5: the EWMA beyond its limits.
struct ChartSignal {
  std::size_t index = 0;  // from 0
  int rule = 0;
};

// Every index at which rule 1..4 holds anew (it did not hold at the index before). Sigma 0 gives none.
[[nodiscard]] std::vector<ChartSignal> western_electric(std::span<const double> values,
                                                        const ChartLimits& limits);

// Exponentially weighted moving average z_i = lambda x_i + (1 - lambda) z_(i-1), z_0 = start.
[[nodiscard]] std::vector<double> ewma(std::span<const double> values, double lambda, double start);

// Half width of the EWMA's limits at the i-th value (from 1): L s sqrt(lambda/(2-lambda)
// (1-(1-lambda)^(2i))).
[[nodiscard]] double ewma_half_width(double sigma, double lambda, double l, std::size_t i);

}  // namespace platewise
