#include "platewise/stats/robust.h"

#include <gtest/gtest.h>

#include <cmath>

#include "platewise/stats/distributions.h"
#include "platewise/stats/random.h"
#include "published/published.h"

namespace platewise {
namespace {

using published::Numbers;

TEST(Robust, MatchesTheReferenceLibrary) {
  // robust_and_quantiles.json: scipy 1.10.1, tolerance 1e-10 as stated there.
  const auto reference = published::json("robust_and_quantiles.json");
  const auto& mad = reference["mad"];
  const Numbers x = mad["x"];
  EXPECT_NEAR(median(x), mad["median"], 1e-10);
  EXPECT_NEAR(median_deviation(x, median(x)), mad["mad"], 1e-10);
  EXPECT_NEAR(robust_sigma(x), mad["mad_normal"], 1e-10);

  const auto norris = published::json("nist_linear.json")["datasets"]["Norris"];
  const RobustLine line = robust_line(Numbers(norris["x"]), Numbers(norris["y"]));
  EXPECT_NEAR(line.slope, reference["theil_sen_norris"]["slope"], 1e-10);
  EXPECT_NEAR(line.intercept, reference["theil_sen_norris"]["intercept"], 1e-10);
}

TEST(Robust, QuantileIsLinearBetweenOrderStatistics) {
  // Hyndman & Fan 1996, definition 7: position (n-1)p from 0.
  const Numbers values{40, 10, 30, 20};
  EXPECT_DOUBLE_EQ(quantile(values, 0.0), 10);
  EXPECT_DOUBLE_EQ(quantile(values, 0.5), 25);
  EXPECT_DOUBLE_EQ(quantile(values, 0.9), 37);
  EXPECT_DOUBLE_EQ(quantile(values, 1.0), 40);
  EXPECT_DOUBLE_EQ(quantile(Numbers{7}, 0.3), 7);
}

TEST(Robust, WildValuesDoNotMoveTheMean) {
  Random random(11);
  Numbers values;
  for (int i = 0; i < 500; ++i) values.push_back(random.normal(5.0, 0.2));
  const Quantity clean = robust_mean(values);
  for (int i = 0; i < 40; ++i) values.push_back(1000.0 * random.uniform());
  const Quantity soiled = robust_mean(values);
  EXPECT_NEAR(soiled.value, clean.value, 0.02);
  EXPECT_NEAR(clean.u, 0.2 / std::sqrt(500.0), 0.0015);
}

TEST(Distributions, QuantilesMatchTheTables) {
  // Normal: scipy, 1e-10. Student: classical table and scipy (student_t.csv; 5e-9 is the table's own error).
  for (const auto& row : published::json("robust_and_quantiles.json")["normal_quantiles"]) {
    EXPECT_NEAR(normal_quantile(row[0]), row[1].get<double>(), 1e-10) << row;
  }
  const Numbers shares{0.9, 0.95, 0.975, 0.99, 0.995};
  for (const auto& row : published::csv("student_t.csv")) {
    for (std::size_t i = 0; i < shares.size(); ++i) {
      const double expected = std::stod(row[i + 1]);
      EXPECT_NEAR(student_t_quantile(shares[i], std::stod(row[0])), expected, 1e-8 * expected) << row[0];
    }
  }
}

TEST(Random, IsTheSameForTheSameSeedAndRightInTheMean) {
  Random a(3);
  Random b(3);
  Random other = a.fork(1);
  double sum = 0.0;
  double squares = 0.0;
  constexpr int kDraws = 20000;
  for (int i = 0; i < kDraws; ++i) {
    const double z = a.normal();
    EXPECT_EQ(z, b.normal());
    sum += z;
    squares += z * z;
  }
  EXPECT_NEAR(sum / kDraws, 0.0, 4.0 / std::sqrt(kDraws));
  EXPECT_NEAR(squares / kDraws, 1.0, 4.0 * std::sqrt(2.0 / kDraws));
  EXPECT_NE(other.bits(), b.bits());
}

TEST(Distributions, PoissonSharesAddUp) {
  // From the law itself: P(0) = e^-m, and the mean is the sum of P(k or more) over k = 1, 2, ...
  EXPECT_DOUBLE_EQ(poisson_share_from(0, 2.0), 1.0);
  EXPECT_NEAR(poisson_share_from(1, 2.0), 1.0 - std::exp(-2.0), 1e-15);
  EXPECT_NEAR(poisson_share_from(3, 2.0), 1.0 - 5.0 * std::exp(-2.0), 1e-15);
  double mean = 0.0;
  for (int k = 1; k < 40; ++k) mean += poisson_share_from(k, 2.0);
  EXPECT_NEAR(mean, 2.0, 1e-12);
}

TEST(Random, HaltonFillsEvenly) {
  // First points of the sequence in bases 2 and 3, from its definition (radical inverse).
  EXPECT_DOUBLE_EQ(halton(0, 2), 0.5);
  EXPECT_DOUBLE_EQ(halton(2, 2), 0.75);
  EXPECT_NEAR(halton(3, 3), 4.0 / 9.0, 1e-15);
}

}  // namespace
}  // namespace platewise
