#include "platewise/json/score_json.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace platewise {
namespace {

using nlohmann::json;

PlateScore full_score() {
  PlateScore score;
  score.scan.path = "plates/one.tif";
  score.scan.sha256 = std::string(64, 'a');
  score.scan.width_px = 2000;
  score.scan.height_px = 1500;
  score.scan.bits = 16;
  score.scan.colour_profile = "Grey gamma 2.2";
  score.scan.resolution_dpi = 1200.0;
  score.settings.exposure_s = 10.0;
  score.note = "north light";
  score.state = PlateState::dry;
  score.outline.found = true;
  score.outline.confidence = 0.97;
  score.outline.corners_px = {Point{10, 20}, Point{1910, 25}, Point{1905, 1420}, Point{12, 1415}};
  score.outline.scale = {true, 108.0, 82.5, "quarter"};
  Regions regions;
  regions.image_area_units = Polygon{{3, 3}, {100, 3}, {100, 80}};
  regions.covered_fraction = 0.98;
  regions.uncovered_corners = {Corner::top_left, Corner::bottom_right};
  score.regions = regions;
  Tones tones;
  tones.calibrated = true;
  tones.support_density = Quantity{1.35, 0.02};
  tones.margin_density = Quantity{1.3, 0.02};
  tones.floor_density = Quantity{1.2, 0.02};
  tones.fog = Quantity{0.15, 0.03};
  tones.margin_fog = Quantity{0.05, 0.02};
  tones.floor_over_margin = Quantity{0.1, 0.02};
  tones.midtone_density = Quantity{0.8, 0.02};
  tones.highlight_density = Quantity{0.4, 0.02};
  tones.range = Quantity{0.8, 0.02};
  tones.empty_shadow_fraction = 0.12;
  tones.blocked_highlight_fraction = 0.01;
  tones.histogram = {{0.0, 0.5, 1.0}, {0.25, 0.75}};
  score.tones = tones;
  Fault fault;
  fault.id = "comet";
  fault.box_origin = {10, 12};
  fault.box_width = 3;
  fault.box_height = 2;
  fault.area = 1.5;
  fault.length = 2.5;
  fault.width = 0.4;
  fault.angle_deg = 45.0;
  fault.severity = 0.3;
  fault.log10_nfa = -4.2;
  fault.confidence = 0.9;
  fault.likely_causes = {"dust in the holder"};
  fault.remedies = {"wipe it"};
  fault.cautions = {"gloves"};
  score.faults.found = {fault};
  score.grade = Grade{71, 80, 75, 70, 90, 60, {"one comet"}};
  Recommendation recommendation;
  recommendation.diagnosis = Diagnosis::fogged;
  recommendation.probability = {0.1, 0, 0, 0, 0, 0, 0, 0, 0, 0.9};
  recommendation.exposure = {0.5, 0.2, 0.8, 10.0, 14.0, 14.1421356};
  recommendation.development = {-10, -20, 5, 20.0, 18.0, 18.0};
  recommendation.because = {"the rim is veiled"};
  recommendation.alternatives = {"a strip plate"};
  score.recommendation = recommendation;
  score.cautions = {"read the safety data sheet"};
  score.warnings = {"uncalibrated"};
  return score;
}

// The contract's keys, level by level ("platewise.score/1").
const std::pair<const char*, std::vector<std::string>> kContract[] = {
    {"",
     {"schema", "scan", "plate", "tones", "coverage", "faults", "score", "recommendation", "cautions",
      "warnings"}},
    {"/scan", {"path", "sha256", "width_px", "height_px", "bits", "colour_profile", "resolution_dpi"}},
    {"/plate",
     {"found", "confidence", "corners_px", "width_mm", "height_mm", "size_name", "scale", "kind",
      "image_area_mm"}},
    {"/tones",
     {"calibrated", "support_density", "margin_density", "floor_density", "fog", "margin_fog",
      "floor_over_margin", "midtone_density", "highlight_density", "range", "empty_shadow_fraction",
      "blocked_highlight_fraction", "histogram"}},
    {"/tones/fog", {"value", "u"}},
    {"/tones/histogram", {"unit", "edges", "share"}},
    {"/coverage", {"covered_fraction", "uncovered_corners"}},
    {"/faults/0",
     {"id", "bbox_mm", "area_mm2", "length_mm", "width_mm", "angle_deg", "severity", "log10_nfa",
      "confidence", "likely_causes", "remedies", "cautions"}},
    {"/score", {"overall", "parts", "because"}},
    {"/score/parts", {"exposure", "development", "fog", "coating", "cleanliness"}},
    {"/recommendation",
     {"diagnosis", "diagnosis_probability", "exposure", "development", "because", "alternatives"}},
    {"/recommendation/exposure", {"change_stops", "low", "high", "from_s", "to_s", "to_exact_s"}},
    {"/recommendation/development", {"change_percent", "low", "high", "from_s", "to_s", "to_exact_s"}},
    {"/recommendation/diagnosis_probability",
     {"well_exposed", "underexposed", "overexposed", "underdeveloped", "overdeveloped",
      "underexposed_overdeveloped", "underexposed_underdeveloped", "overexposed_overdeveloped",
      "overexposed_underdeveloped", "fogged"}}};

TEST(ScoreJson, HoldsEveryKeyOthersRelyOn) {
  const json document = json::parse(score_json(full_score()));
  for (const auto& [where, keys] : kContract) {
    const json& object = document.at(json::json_pointer(where));
    for (const std::string& key : keys) {
      ASSERT_TRUE(object.contains(key)) << where << "/" << key;
      EXPECT_FALSE(object.at(key).is_null()) << where << "/" << key << " got lost";
    }
  }
}

TEST(ScoreJson, SaysWhatTheValuesSay) {
  const json document = json::parse(score_json(full_score()));
  const std::pair<const char*, json> kValues[] = {
      {"/schema", "platewise.score/1"},
      {"/plate/corners_px/1", {1910.0, 25.0}},
      {"/plate/scale", "mm"},
      {"/plate/width_mm", 108.0},
      {"/plate/image_area_mm/2", {100.0, 80.0}},
      {"/tones/support_density", {{"value", 1.35}, {"u", 0.02}}},
      {"/tones/histogram/unit", "density"},
      {"/coverage/uncovered_corners", {"top_left", "bottom_right"}},
      {"/faults/0/bbox_mm", {10.0, 12.0, 3.0, 2.0}},
      {"/score/parts/cleanliness", 60.0},
      {"/recommendation/diagnosis", "fogged"},
      {"/recommendation/diagnosis_probability/fogged", 0.9},
      {"/recommendation/exposure/to_exact_s", 14.1421},  // six significant digits
      {"/recommendation/development/change_percent", -10.0}};
  for (const auto& [where, value] : kValues)
    EXPECT_EQ(document.at(json::json_pointer(where)), value) << where;
}

TEST(ScoreJson, WithoutAPlateTheRestIsNull) {
  PlateScore score;
  score.scan.path = "cat.jpg";
  score.warnings = {"no plate found"};
  const json document = json::parse(score_json(score));
  EXPECT_EQ(document.at("plate").at("found"), false);
  EXPECT_EQ(document.at("faults"), json::array());
  for (const char* where : {"/plate/corners_px", "/plate/width_mm", "/plate/image_area_mm", "/tones",
                            "/coverage", "/score", "/recommendation", "/scan/resolution_dpi"}) {
    EXPECT_TRUE(document.at(json::json_pointer(where)).is_null()) << where;
  }
}

TEST(ScoreJson, RelativeScaleHasNoMillimetres) {
  PlateScore score = full_score();
  score.outline.scale = {false, 100.0, 76.4, std::nullopt};
  const json document = json::parse(score_json(score));
  EXPECT_EQ(document.at("plate").at("scale"), "relative");
  EXPECT_TRUE(document.at("plate").at("width_mm").is_null());
  EXPECT_TRUE(document.at("plate").at("size_name").is_null());
}

TEST(ScoreJson, NeverHoldsWhatIsNoNumber) {
  PlateScore score = full_score();
  score.tones->fog = Quantity{std::nan(""), 0.1};
  score.tones->range = Quantity{0.5, std::numeric_limits<double>::infinity()};
  score.faults.found[0].log10_nfa = -std::numeric_limits<double>::infinity();
  score.grade->overall = std::nan("");
  const std::string text = score_json(score);
  EXPECT_EQ(text.find("nan"), std::string::npos);
  EXPECT_EQ(text.find("inf"), std::string::npos);
  const json document = json::parse(text);
  EXPECT_TRUE(document.at("tones").at("fog").is_null());
  EXPECT_TRUE(document.at("tones").at("range").is_null());
}

TEST(ScoreJson, IsValidUtf8WhateverTheFileIsCalled) {
  PlateScore score;
  score.scan.path = "plate \xff\xfe \xc3\xa9 \"1\"\n.tif";
  const json document = json::parse(score_json(score));  // throws on invalid UTF-8
  EXPECT_EQ(document.at("scan").at("path"), "plate \xef\xbf\xbd\xef\xbf\xbd \xc3\xa9 \"1\"\n.tif");
}

TEST(ScoreJson, OneLineIsOneLineAndSeveralAreAnArray) {
  EXPECT_EQ(score_json(full_score()).find('\n'), std::string::npos);
  EXPECT_NE(score_json(full_score(), JsonStyle::indented).find('\n'), std::string::npos);
  const PlateScore scores[] = {full_score(), PlateScore{}};
  const json list = json::parse(scores_json(scores));
  ASSERT_EQ(list.size(), 2U);
  EXPECT_EQ(list.at(0), json::parse(score_json(full_score())));
}

TEST(ScoreJson, ComesBackFromItsText) {
  const std::string text = score_json(full_score());
  const Result<PlateScore> back = score_from_json(text, "log");
  ASSERT_TRUE(back.has_value()) << back.error().message();
  EXPECT_EQ(score_json(*back), text);
  const std::string bare = score_json(PlateScore{});
  const Result<PlateScore> empty = score_from_json(bare, "log");
  ASSERT_TRUE(empty.has_value()) << empty.error().message();
  EXPECT_EQ(score_json(*empty), bare);
}

TEST(ScoreJson, TextThatIsNoScoreIsAProblem) {
  for (const char* text : {"", "{}", "[]", "{\"schema\":\"platewise.score/1\"}", "{\"schema\":\"other\"}"}) {
    EXPECT_FALSE(score_from_json(text, "log").has_value()) << text;
  }
}

}  // namespace
}  // namespace platewise
