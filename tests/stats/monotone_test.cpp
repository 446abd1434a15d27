#include "platewise/stats/monotone.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "platewise/stats/random.h"
#include "published/published.h"

namespace platewise {
namespace {

using published::Numbers;

TEST(Isotonic, MatchesTheMaxMinFormula) {
  // isotonic.json: exact rational arithmetic by the formula, not by pooling. Its figures carry 12 digits.
  for (const auto& row : published::json("isotonic.json")["cases"]) {
    const Numbers expected = row["fit"];
    const Numbers fit = isotonic(Numbers(row["y"]), Numbers(row["w"]));
    ASSERT_EQ(fit.size(), expected.size());
    for (std::size_t i = 0; i < fit.size(); ++i) EXPECT_NEAR(fit[i], expected[i], 1e-12) << row["name"];
  }
}

// Slow twin: fit_i = max over j<=i of min over k>=i of the mean of j..k.
TEST(Isotonic, AgreesWithTheSlowFormulaOnRandomValues) {
  Random random(5);
  for (int trial = 0; trial < 50; ++trial) {
    Numbers y(12);
    for (double& value : y) value = random.normal();
    const Numbers fit = isotonic(y);
    for (std::size_t i = 0; i < y.size(); ++i) {
      double best = -1e9;
      for (std::size_t j = 0; j <= i; ++j) {
        double least = 1e9;
        for (std::size_t k = i; k < y.size(); ++k) {
          double sum = 0.0;
          for (std::size_t m = j; m <= k; ++m) sum += y[m];
          least = std::min(least, sum / static_cast<double>(k - j + 1));
        }
        best = std::max(best, least);
      }
      EXPECT_NEAR(fit[i], best, 1e-12);
    }
  }
}

class PublishedCubic : public testing::TestWithParam<const char*> {};

TEST_P(PublishedCubic, MatchesSlopesAndValues) {
  // monotone_cubic.json: Fritsch & Carlson 1980 radiochemical data and Akima 1970 data, values of the same
  // method by scipy; tolerance 1e-10 as stated there.
  const auto data = published::json("monotone_cubic.json")[GetParam()];
  const MonotoneCubic curve{Numbers(data["x"]), Numbers(data["y"])};
  const Numbers slopes = data["slopes"];
  for (std::size_t i = 0; i < slopes.size(); ++i) EXPECT_NEAR(curve.slopes()[i], slopes[i], 1e-10);
  const Numbers at = data["at"];
  const Numbers values = data["values"];
  for (std::size_t i = 0; i < at.size(); ++i) EXPECT_NEAR(curve(at[i]), values[i], 1e-10);
}
INSTANTIATE_TEST_SUITE_P(Sources, PublishedCubic, testing::Values("rpn15a", "akima11"));

TEST(MonotoneCubic, StaysMonotoneAndInvertsEverywhere) {
  Random random(9);
  for (int trial = 0; trial < 30; ++trial) {
    Numbers x{0.0};
    Numbers y{0.0};
    for (int i = 0; i < 9; ++i) {
      x.push_back(x.back() + random.uniform(0.05, 1.0));
      y.push_back(y.back() - random.uniform(0.001, 1.0));
    }
    const MonotoneCubic curve(x, y);
    double before = curve(x.front());
    for (int i = 1; i <= 200; ++i) {
      const double at = x.front() + (x.back() - x.front()) * i / 200.0;
      EXPECT_LE(curve(at), before + 1e-12);
      before = curve(at);
      EXPECT_NEAR(curve(curve.inverse(before).value()), before, 1e-12);
      const double numeric = (curve(at + 1e-6) - curve(at - 1e-6)) / 2e-6;
      EXPECT_NEAR(curve.slope(at), numeric, 1e-3 * (1.0 + std::abs(numeric)));
    }
    EXPECT_FALSE(curve.inverse(y.back() - 0.1).has_value());
    EXPECT_NEAR(curve(x.back() + 1.0), y.back() + curve.slopes().back(), 1e-12);
  }
}

}  // namespace
}  // namespace platewise
