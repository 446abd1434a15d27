#include "platewise/json/curve_json.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>

namespace platewise {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

DeviceCurve some_device() {
  DeviceCurve device;
  device.steps = {{0.05, 0.71234567890123456, 0.011}, {1.55, 1.0 / 3.0, 0.02}};
  device.knots = {{-3.2, 3.05, 0.04}, {-1.5, 1.5, 0.01}, {-0.05, 0.04, 0.005}};
  device.range_min = 0.04;
  device.range_max = 3.05;
  device.max_residual_density = 0.017;
  device.flare = 0.0021;
  device.material_u = 0.02;
  device.light = Light::transmitted;
  device.bits = 8;
  device.colour_profile = "Grey gamma 2.2";
  device.resolution_dpi = 1200.0;
  device.flat_fielded = true;
  device.warnings = {"one \"quoted\"", "two"};
  return device;
}

PlateCurve some_curve() {
  PlateCurve curve;
  curve.kind = PlateKind::negative;
  curve.development_s = 20.0;
  curve.exposure_s = 10.0;
  curve.steps = {{0.0, 2.1, 0.02}, {-0.15, 1.9, 0.03}};
  curve.support_density = Quantity{0.04, 0.02};
  curve.fog = {0.07, 0.01};
  curve.gamma = {1.3, 0.1};
  curve.average_gradient = {0.9, 0.05};
  curve.speed_point_log_exposure = {-2.25, 0.07};
  curve.exposure_scale = {1.8, 0.2};
  curve.max_density = {2.1, 0.02};
  curve.min_density = {0.11, 0.01};
  curve.model = {0.07, 2.2, 3.1, -1.05, 0.8};
  curve.residual = 0.013;
  curve.shoulder_reached = false;
  curve.toe_reached = false;
  curve.shared_log_exposure_u = 0.06;
  curve.warnings = {"hand-timed"};
  return curve;
}

// Documents compared as written: every key that is written must have been read back into its field, and the
// values above differ from all defaults.
TEST(CurveJson, RoundTripsKeepEveryField) {
  const std::string device = device_json(some_device());
  const auto device_again = device_from_json(device, "device.json");
  ASSERT_TRUE(device_again) << device_again.error().message();
  EXPECT_EQ(device_json(*device_again), device);
  const std::string curve = plate_curve_json(some_curve());
  const auto curve_again = plate_curve_from_json(curve, "plate.json");
  ASSERT_TRUE(curve_again) << curve_again.error().message();
  EXPECT_EQ(plate_curve_json(*curve_again), curve);
}

TEST(CurveJson, NoFieldIsLeftAtItsDefault) {
  const auto fields_that_agree = [](const json& a, const json& b) {
    std::vector<std::string> same;
    for (const auto& [key, value] : a.items()) {
      if (b.at(key) == value && key != "schema" && key != "formula") same.push_back(key);
    }
    return same;
  };
  const auto device = json::parse(device_json(some_device()));
  EXPECT_TRUE(fields_that_agree(device, json::parse(device_json({}))).empty());
  const auto curve = json::parse(plate_curve_json(some_curve()));
  const auto plain = json::parse(plate_curve_json({}));
  EXPECT_TRUE(fields_that_agree(curve, plain).empty());
  EXPECT_TRUE(fields_that_agree(curve.at("model"), plain.at("model")).empty());
}

// The contract's keys (issue 2, `calibrate` JSON).
TEST(CurveJson, HoldsTheKeysOthersRelyOn) {
  const auto device = json::parse(device_json(some_device()));
  for (const char* key :
       {"schema", "steps", "density_of_signal", "range", "max_residual_density", "flare", "warnings"}) {
    EXPECT_TRUE(device.contains(key)) << key;
  }
  EXPECT_EQ(device.at("schema"), "platewise.device/1");
  for (const char* key : {"density", "signal", "u"}) EXPECT_TRUE(device.at("steps").at(0).contains(key));
  EXPECT_EQ(device.at("range").at("min"), 0.04);
  const auto curve = json::parse(plate_curve_json(some_curve()));
  EXPECT_EQ(curve.at("schema"), "platewise.curve/1");
  EXPECT_EQ(curve.at("kind"), "negative");
  for (const char* key : {"fog", "gamma", "average_gradient", "speed_point_log_exposure", "exposure_scale",
                          "max_density", "min_density"}) {
    EXPECT_TRUE(curve.at(key).contains("value") && curve.at(key).contains("u")) << key;
  }
  for (const char* key : {"development_s", "exposure_s", "steps", "model", "warnings"}) {
    EXPECT_TRUE(curve.contains(key)) << key;
  }
}

TEST(CurveJson, WhatCouldNotBeMeasuredIsNullAndComesBackAsNoNumber) {
  PlateCurve curve = some_curve();
  curve.exposure_scale = {std::nan(""), 1.0};
  const std::string text = plate_curve_json(curve);
  EXPECT_TRUE(json::parse(text).at("exposure_scale").is_null());
  const auto again = plate_curve_from_json(text, "plate.json");
  ASSERT_TRUE(again);
  EXPECT_TRUE(std::isnan(again->exposure_scale.value));
}

// ---- what is refused ----

struct Damage {
  const char* at;  // JSON pointer
  const char* value;
  const char* words;
};

void expect_refused(const json& document, const Damage& damage, auto read) {
  json damaged = document;
  damaged[json::json_pointer(damage.at)] = json::parse(damage.value);
  const auto result = read(damaged.dump(), "my.json");
  ASSERT_FALSE(result) << damage.at << " = " << damage.value;
  EXPECT_THAT(result.error().message(), HasSubstr("my.json"));
  EXPECT_THAT(result.error().message(), HasSubstr(damage.words)) << damage.at << " = " << damage.value;
}

TEST(CurveJson, DamagedDeviceFilesAreRefusedByName) {
  const auto device = json::parse(device_json(some_device()));
  const Damage damages[] = {{"/schema", "\"platewise.curve/1\"", "kind \"platewise.device/1\""},
                            {"/steps", "3", "\"steps\" is not a list"},
                            {"/steps/1", "[]", "steps[1]. is not an object"},
                            {"/steps/1/u", "-1", "\"steps[1].u\" cannot be -1"},
                            {"/steps/0/density", "\"much\"", "\"steps[0].density\" is not a number"},
                            {"/density_of_signal", "null", "density_of_signal"},
                            {"/density_of_signal/u", "[0]", "as many entries"},
                            {"/density_of_signal/log10_signal", "[-1,-2,0]", "must rise"},
                            {"/density_of_signal/density", "[1,2,0]", "must fall"},
                            {"/range/max", "-9", "less than the least"},
                            {"/range", "{}", "\"range.min\" is missing"},
                            {"/flare", "2", "\"flare\" cannot be 2"},
                            {"/flare", "1e300", "cannot be 1e+300"},
                            {"/light", "\"moonlight\"", "\"light\""},
                            {"/warnings", "[1]", "list of texts"}};
  for (const Damage& damage : damages) expect_refused(device, damage, device_from_json);
}

TEST(CurveJson, DamagedPlateFilesAreRefusedByName) {
  const auto curve = json::parse(plate_curve_json(some_curve()));
  const Damage damages[] = {
      {"/kind", "\"daguerreotype\"", "\"kind\""},   {"/development_s", "0", "development_s"},
      {"/gamma", "1.3", "gamma. is not an object"}, {"/gamma/u", "null", "\"gamma.u\" is not a number"},
      {"/model/slope", "-3", "model.slope"},        {"/model", "{}", "\"model.fog\" is missing"}};
  for (const Damage& damage : damages) expect_refused(curve, damage, plate_curve_from_json);
}

TEST(CurveJson, AMissingKeyIsNamed) {
  for (const char* key : {"steps", "density_of_signal", "range", "max_residual_density", "flare", "light"}) {
    auto device = json::parse(device_json(some_device()));
    device.erase(key);
    const auto result = device_from_json(device.dump(), "my.json");
    ASSERT_FALSE(result) << key;
    EXPECT_THAT(result.error().message(), HasSubstr(key));
  }
}

TEST(CurveJson, AnyTextIsReadOrRefused) {
  const std::string good = device_json(some_device());
  std::mt19937 random(3);
  for (int round = 0; round < 3000; ++round) {
    std::string damaged = good;
    for (int i = 0; i < 3; ++i) damaged[random() % damaged.size()] = static_cast<char>(random());
    (void)device_from_json(damaged, "my.json");
    (void)plate_curve_from_json(damaged.substr(0, random() % damaged.size()), "my.json");
  }
  EXPECT_FALSE(device_from_json("", "my.json"));
  EXPECT_FALSE(device_from_json(std::string(100000, '['), "my.json"));
  EXPECT_FALSE(device_from_json(R"({"schema":"platewise.device/1","flare":1e99999})", "my.json"));
}

TEST(CurveJson, FilesThatAreNoneAreNamed) {
  for (const char* path : {"/no/such/device.json", "/tmp", "/dev/null"}) {
    const auto result = read_device_file(path);
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().where, path);
  }
}

}  // namespace
}  // namespace platewise
