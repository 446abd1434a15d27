#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <ostream>
#include <string>
#include <vector>

#include "platewise/recommend/recommend.h"

namespace platewise {
namespace {

// Which way the next plate goes.
enum class Way { less, keep, more, any };

// A row of the trade handbook's decision tables (process.md 5a positives, 5b negatives; directions supported
// by its section 4, sizes common practice) as tones: silver (lightening of the support, or density over the
// glass) of margin, floor, mid-tone and highlight.
// Where a row is told only by a log or by a shape, the words of section 5c that it allows are all listed.
struct Row {
  const char* code;
  PlateKind kind;
  double margin;
  double floor;
  double midtone;
  double highlight;
  std::vector<Diagnosis> words;
  Way exposure;
  Way development;
  bool light_leak = false;
  double empty = 0.05;
  double blocked = 0.05;
};

using D = Diagnosis;
constexpr PlateKind kPositive = PlateKind::tintype;
constexpr PlateKind kNegative = PlateKind::negative;

const std::vector<Row>& rows() {
  // clang-format off
  //  code, kind, margin, floor, mid-tone, highlight, words, exposure, development, leak, empty, blocked
  static const std::vector<Row> table = {
      {"P0", kPositive, 0.06, 0.14, 0.50, 0.85, {D::well_exposed}, Way::keep, Way::keep},
      {"P1", kPositive, 0.05, 0.06, 0.16, 0.62, {D::underexposed}, Way::more, Way::keep, false, 0.4},
      {"P2", kPositive, 0.20, 0.21, 0.28, 0.65, {D::underexposed_overdeveloped}, Way::more, Way::less, false, 0.4},
      {"P3", kPositive, 0.01, 0.01, 0.05, 0.32, {D::underexposed_underdeveloped}, Way::more, Way::more, false, 0.5},
      {"P4", kPositive, 0.02, 0.05, 0.26, 0.66, {D::underdeveloped}, Way::keep, Way::more},
      {"P5", kPositive, 0.20, 0.30, 0.62, 0.93, {D::overdeveloped, D::fogged}, Way::any, Way::less},
      {"P6", kPositive, 0.05, 0.45, 0.85, 0.95, {D::overexposed}, Way::less, Way::keep, false, 0.02, 0.4},
      {"P7", kPositive, 0.01, 0.35, 0.55, 0.66, {D::overexposed_underdeveloped}, Way::less, Way::more, false, 0.02, 0.3},
      {"P8", kPositive, 0.22, 0.55, 0.88, 0.96, {D::overexposed_overdeveloped}, Way::less, Way::less, false, 0.02, 0.4},
      {"P9", kPositive, 0.18, 0.25, 0.55, 0.86, {D::fogged, D::overdeveloped}, Way::any, Way::less},
      {"P10", kPositive, 0.06, 0.30, 0.55, 0.85, {D::fogged}, Way::keep, Way::keep, true},
      {"P11", kPositive, 0.07, 0.09, 0.19, 0.73, {D::underexposed}, Way::more, Way::any, false, 0.5},
      {"P12", kPositive, 0.06, 0.20, 0.48, 0.80, {D::well_exposed}, Way::any, Way::keep},
      {"N0", kNegative, 0.06, 0.18, 0.95, 1.62, {D::well_exposed}, Way::keep, Way::keep},
      {"N1", kNegative, 0.05, 0.07, 0.20, 1.00, {D::underexposed}, Way::more, Way::keep, false, 0.4},
      {"N2", kNegative, 0.20, 0.22, 0.38, 1.25, {D::underexposed_overdeveloped}, Way::more, Way::less, false, 0.4},
      {"N3", kNegative, 0.02, 0.20, 0.70, 0.99, {D::underdeveloped}, Way::keep, Way::more},
      {"N1thin", kNegative, 0.02, 0.03, 0.12, 0.60, {D::underexposed_underdeveloped}, Way::more, Way::more, false, 0.4},
      {"N4N6", kNegative, 0.15, 0.90, 1.75, 2.15, {D::overexposed_overdeveloped}, Way::less, Way::less, false, 0.02, 0.4},
      {"N4", kNegative, 0.07, 0.75, 1.45, 1.75, {D::overexposed}, Way::less, Way::keep, false, 0.02, 0.3},
      {"N5", kNegative, 0.02, 0.75, 1.05, 1.15, {D::overexposed_underdeveloped}, Way::less, Way::more, false, 0.02, 0.4},
      {"N6", kNegative, 0.20, 0.40, 1.25, 2.00, {D::overdeveloped}, Way::any, Way::less},
      {"N7", kNegative, 0.22, 0.34, 1.10, 1.78, {D::fogged, D::overdeveloped}, Way::keep, Way::any},
  };
  // clang-format on
  return table;
}

Tones tones_of(const Row& row) {
  const bool positive = is_positive(row.kind);
  const double support = positive ? 1.35 : 0.04;
  const auto at = [&](double silver) {
    return Quantity{positive ? support - silver : support + silver, 0.03};
  };
  return {.calibrated = true,
          .support_density = at(0.0),
          .support_seen = true,
          .margin_density = at(row.margin),
          .floor_density = at(row.floor),
          .fog = Quantity{row.floor, 0.02},
          .margin_fog = Quantity{row.margin, 0.02},
          .floor_over_margin = Quantity{row.floor - row.margin, 0.02},
          .midtone_density = at(row.midtone),
          .highlight_density = at(row.highlight),
          .range = Quantity{row.highlight - row.floor, 0.03},
          .empty_shadow_fraction = row.empty,
          .blocked_highlight_fraction = row.blocked};
}

// A direction must be plain; keeping may be off by half a stop, or a step of development (handbook,
// numbers.csv: 15-25%).
bool goes(double change, Way way, double plain, double keeps_within) {
  if (way == Way::more) return change >= plain;
  if (way == Way::less) return change <= -plain;
  return way == Way::any || std::abs(change) <= keeps_within;
}

void PrintTo(const Row& row, std::ostream* out) {
  *out << row.code;
}

class DecisionTable : public testing::TestWithParam<Row> {};

TEST_P(DecisionTable, GivesTheRowsWordAndDirections) {
  const Row& row = GetParam();
  const auto advice = recommend(
      tones_of(row), {.kind = row.kind, .settings = {.exposure_s = 8.0}, .light_leak = row.light_leak});
  ASSERT_TRUE(advice.has_value());
  std::string told = "exposure " + std::to_string(advice->exposure.change) + " development " +
                     std::to_string(advice->development.change);
  for (std::size_t i = 0; i < kDiagnosisCount; ++i) {
    told += "\n  " + std::string(Names<Diagnosis>::all[i]) + " " + std::to_string(advice->probability[i]);
  }
  EXPECT_THAT(row.words, testing::Contains(advice->diagnosis)) << told;
  EXPECT_TRUE(goes(advice->exposure.change, row.exposure, 0.2, 0.5)) << told;
  EXPECT_TRUE(goes(advice->development.change, row.development, 8.0, 25.0)) << told;
}

INSTANTIATE_TEST_SUITE_P(Handbook, DecisionTable, testing::ValuesIn(rows()),
                         [](const auto& row) { return std::string(row.param.code); });

}  // namespace
}  // namespace platewise
