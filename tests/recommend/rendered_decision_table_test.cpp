// Every row of the trade's decision tables (handbook, process.md 5a positives, 5b negatives), from a rendered
// plate through the whole program: the row's word and the row's directions come out.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <ostream>
#include <string>

#include "platewise/pipeline/score_plate.h"
#include "rendered_rows.h"
#include "tones/rendered_plate.h"

namespace platewise {
namespace trade {

void PrintTo(const Row& row, std::ostream* out) {
  *out << row.code;
}

}  // namespace trade
namespace {

using trade::Row;

// The whole program but for finding the plate, from the scan's file on.
PlateScore scored(const Row& row) {
  const PlateOptions options = trade::plate_of(row, 0).options;
  RenderedPlate plate = rendered(options, std::string("decision-") + row.code);
  EXPECT_TRUE(trade::shows_its_shadows(row, plate.truth));
  ScoreOptions ask;
  ask.kind = row.kind;
  ask.device = true_device(options.device, plate.truth.light);
  ask.locate.corners_px = plate.truth.corners_px;
  ask.locate.plate_size = PlateSizeMm{plate.truth.width_mm, plate.truth.height_mm, {}};
  ask.settings = trade::settings_of(row);
  return score_plate(std::move(plate.scan), ask).value();
}

std::string told_by(const Recommendation& advice, const Tones& tones) {
  std::string told = "exposure " + std::to_string(advice.exposure.change) + " development " +
                     std::to_string(advice.development.change);
  for (std::size_t i = 0; i < kDiagnosisCount; ++i) {
    if (advice.probability[i] > 0.02)
      told += "\n  " + std::string(Names<Diagnosis>::all[i]) + " " + std::to_string(advice.probability[i]);
  }
  const auto tone = [&](const char* name, const std::optional<Quantity>& value) {
    if (value)
      told +=
          std::string("\n  ") + name + " " + std::to_string(value->value) + " u " + std::to_string(value->u);
  };
  tone("support", tones.support_density);
  tone("fog", tones.fog);
  tone("margin fog", tones.margin_fog);
  tone("floor over margin", tones.floor_over_margin);
  tone("mid-tone", tones.midtone_density);
  tone("highlight", tones.highlight_density);
  tone("range", tones.range);
  return told;
}

class RenderedDecisionTable : public testing::TestWithParam<Row> {};

TEST_P(RenderedDecisionTable, GivesTheRowsWordAndDirections) {
  const Row& row = GetParam();
  const PlateScore score = scored(row);
  ASSERT_TRUE(score.recommendation.has_value());
  const Recommendation& advice = *score.recommendation;
  const auto [word, exposure, development] = trade::held_by(row, advice);
  const std::string told = told_by(advice, *score.tones);
  EXPECT_EQ(word, !row.wrong.word) << row.wrong.instead << '\n' << told;
  EXPECT_EQ(exposure, !row.wrong.exposure) << row.wrong.instead << '\n' << told;
  EXPECT_EQ(development, !row.wrong.development) << row.wrong.instead << '\n' << told;
  if (row.beside != nullptr) {
    EXPECT_THAT(advice.alternatives, testing::Contains(testing::HasSubstr(row.beside))) << told;
  }
}

INSTANTIATE_TEST_SUITE_P(Handbook, RenderedDecisionTable, testing::ValuesIn(trade::rows()),
                         [](const auto& row) { return std::string(row.param.code); });

}  // namespace
}  // namespace platewise
