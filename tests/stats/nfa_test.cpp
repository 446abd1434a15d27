#include "platewise/stats/nfa.h"

#include <gtest/gtest.h>

#include <cmath>

#include "published/published.h"

namespace platewise {
namespace {

double fraction(const std::string& text) {
  const auto slash = text.find('/');
  return std::stod(text.substr(0, slash)) / std::stod(text.substr(slash + 1));
}

TEST(Nfa, BinomialTailsMatchExactArithmetic) {
  // binomial_tails.csv: exact rational arithmetic, tolerance 1e-9 in log10 as stated there.
  for (const auto& row : published::csv("binomial_tails.csv")) {
    const double expected = std::stod(row[3]);
    EXPECT_NEAR(log10_binomial_tail(std::stol(row[0]), std::stol(row[1]), fraction(row[2])), expected, 1e-9)
        << row[0] << " " << row[1];
  }
}

TEST(Nfa, SmallestMeaningfulCountMatchesTheDefinition) {
  // nfa_thresholds.csv: Desolneux, Moisan & Morel 2000, N^4 tests, computed in 60 digits; 1e-8 as stated.
  for (const auto& row : published::csv("nfa_thresholds.csv")) {
    const double log10_tests = 4.0 * std::log10(std::stod(row[0]));
    const double p = fraction(row[1]);
    const long length = std::stol(row[2]);
    constexpr double kTie = 1e-9;  // two rows are exactly 1
    long least = 0;
    while (least <= length && log10_nfa(log10_tests, length, least, p) > kTie) ++least;
    if (row[3].empty()) {
      EXPECT_GT(least, length);
    } else {
      EXPECT_EQ(least, std::stol(row[3]));
      EXPECT_NEAR(log10_nfa(log10_tests, length, least, p), std::stod(row[4]), 1e-8);
    }
  }
}

TEST(Nfa, NormalTailGoesOnWhereDoublesUnderflow) {
  EXPECT_NEAR(log10_normal_tail(0.0), std::log10(0.5), 1e-12);
  EXPECT_NEAR(std::pow(10.0, log10_normal_tail(3.0)), 0.0013498980316301, 1e-12);  // textbook table value
  EXPECT_NEAR(log10_normal_tail(30.0 - 1e-9), log10_normal_tail(30.0 + 1e-9), 1e-6);
  EXPECT_LT(log10_normal_tail(60.0), -780.0);
}

TEST(Nfa, SharedAlarmsAreTheNfaOverTheRankAndRise) {
  // By hand: sorted 0.02, 0.03, 0.3, 0.8 over ranks 1 to 4 are 0.02, 0.015, 0.1, 0.2; the first is not to be
  // above what follows it.
  const std::vector<double> shared =
      log10_nfa_shared({std::log10(0.3), std::log10(0.02), std::log10(0.8), std::log10(0.03)});
  ASSERT_EQ(shared.size(), 4U);
  EXPECT_NEAR(shared[0], std::log10(0.1), 1e-12);
  EXPECT_NEAR(shared[1], std::log10(0.015), 1e-12);
  EXPECT_NEAR(shared[2], std::log10(0.2), 1e-12);
  EXPECT_NEAR(shared[3], std::log10(0.015), 1e-12);
  EXPECT_TRUE(log10_nfa_shared({}).empty());
}

}  // namespace
}  // namespace platewise
