#include "platewise/json/series_json.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace platewise {
namespace {

using nlohmann::json;

// The contract's keys ("platewise.series/1").
TEST(SeriesJson, HoldsTheKeysOthersRelyOn) {
  const PlateScore plates[2];
  SeriesComparison comparison;
  comparison.changes = {
      {0, 1, Quantity{0.5, 0.1}, Quantity{0.02, 0.01}, std::nullopt, {"comet"}, {"dust"}, true}};
  comparison.drift = {{"fog", {0.05, 0.01}, {0.04, 0.06}, {{1, 4}}}};
  const json document = json::parse(series_json(plates, comparison));
  EXPECT_EQ(document.at("schema"), "platewise.series/1");
  EXPECT_EQ(document.at("plates").at(1).at("schema"), "platewise.score/1");
  const json change = document.at("changes").at(0);
  EXPECT_EQ(change.at("from"), 0);
  EXPECT_EQ(change.at("to"), 1);
  EXPECT_EQ(change.at("exposure_difference_stops").at("value"), 0.5);
  EXPECT_EQ(change.at("fog_change").at("u"), 0.01);
  EXPECT_TRUE(change.at("highlight_change").is_null());
  EXPECT_EQ(change.at("faults_appeared"), json({"comet"}));
  EXPECT_EQ(change.at("faults_gone"), json({"dust"}));
  EXPECT_EQ(change.at("aligned"), true);
  const json drift = document.at("drift").at(0);
  EXPECT_EQ(drift.at("quantity"), "fog");
  EXPECT_EQ(drift.at("centre"), 0.05);
  EXPECT_NEAR(drift.at("lower_limit").get<double>(), 0.02, 1e-9);  // three sigmas
  EXPECT_NEAR(drift.at("upper_limit").get<double>(), 0.08, 1e-9);
  EXPECT_EQ(drift.at("points").size(), 2U);
  EXPECT_EQ(drift.at("signals").at(0).at("index"), 1);
  EXPECT_EQ(drift.at("signals").at(0).at("rule"), 4);
}

}  // namespace
}  // namespace platewise
