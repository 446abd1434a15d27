// Calibrating from the command line: files, pages, refusals, and what scoring does with the results.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/demo/render_wedge.h"
#include "platewise/json/curve_json.h"
#include "platewise/write/write_file.h"
#include "running.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

using Words = std::vector<std::string>;

std::string listed(int steps, double first, double step) {
  std::string csv = "step,density\n";
  for (int i = 0; i < steps; ++i)
    csv += std::to_string(i + 1) + "," + std::to_string(first + i * step) + "\n";
  return csv;
}

// A scanner, a wedge scanned on it, and a plate exposed through the same kind of wedge.
class Calibrating : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_calibrating_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    WedgeOptions wedge;
    wedge.steps = 12;
    wedge.step_density = 0.16;
    wedge.light = Light::reflected;
    wedge.px_per_mm = 6.0;
    wedge.device.gain = 0.72;
    write_wedge("wedge", wedge);
    wedge.device.gain = 40.0;  // all but the darkest steps burnt out
    write_wedge("burnt", wedge);
    write_plate();
    ASSERT_TRUE(write_file(folder_ / "few.csv", listed(4, 0.05, 0.15)));
    ASSERT_TRUE(write_file(folder_ / "many.csv", listed(31, 0.05, 0.1)));
    ASSERT_TRUE(write_file(folder_ / "order.csv", "step,density\n1,0.1\n2,0.5\n3,0.3\n4,0.7\n5,0.9\n"));
    ASSERT_TRUE(write_file(folder_ / "words.csv", "step,density\n1,clear\n2,0.5\n3,0.7\n4,0.8\n5,0.9\n"));
    ASSERT_TRUE(write_picture(folder_ / "blank.tif", cv::Mat(300, 400, CV_8UC1, cv::Scalar(200)), {}));
  }
  static void TearDownTestSuite() { fs::remove_all(folder_); }

  static void write_wedge(const std::string& name, const WedgeOptions& options) {
    const WedgeRendering rendering = render_wedge(options);
    ASSERT_TRUE(write_picture(folder_ / (name + ".tif"), rendering.pixels, rendering.format));
    ASSERT_TRUE(write_file(folder_ / (name + ".csv"), rendering.wedge_csv));
  }

  static void write_plate() {
    PlateOptions options;
    options.px_per_mm = 6.0;
    options.film.edge = FilmEdge::bare_corners;
    options.device.gain = 0.72;
    WedgeExposure exposure;
    std::vector<double> densities;
    for (int i = 0; i < 13; ++i) {
      densities.push_back(0.05 + 0.2 * i);
      exposure.densities.push_back(1.03 * densities.back());
    }
    exposure.clear_log_exposure = 2.6;
    options.wedge = exposure;
    const PlateRendering plate = render_plate(options);
    ASSERT_TRUE(write_picture(folder_ / "plate.tif", plate.pixels, plate.format));
    ASSERT_TRUE(write_file(folder_ / "plate.csv", wedge_csv(densities, exposure.densities)));
  }

  static Outcome run(Words arguments) { return run_program(folder_, std::move(arguments)); }
  static json written(const std::string& name) { return json::parse(contents(folder_ / name)); }

  static inline fs::path folder_;
};

TEST_F(Calibrating, GivesFilesAndPagesThatScoringUses) {
  const Outcome scanner = run({"calibrate", "scanner", "wedge.tif", "--wedge", "wedge.csv", "-o",
                               "device.json", "--report", "device.html"});
  ASSERT_EQ(scanner.exit_code, 0) << scanner.err;
  EXPECT_EQ(written("device.json").at("schema"), "platewise.device/1");
  for (const char* time : {"15", "25"}) {
    const std::string curve = std::string("plate-") + time + ".json";
    const Outcome plate = run({"calibrate", "plate", "plate.tif", "--wedge", "plate.csv", "--device",
                               "device.json", "--exposure", "10s", "--development", std::string(time) + "s",
                               "-o", curve, "--report", "plate.html"});
    ASSERT_EQ(plate.exit_code, 0) << plate.err;
    EXPECT_EQ(written(curve).at("schema"), "platewise.curve/1");
    // The plate shows a bare corner: its fog must not rest on the usual density of a support (u 0.15).
    EXPECT_THAT(plate.out, Not(HasSubstr("no bare support was seen")));
    EXPECT_LT(written(curve).at("fog").at("u").get<double>(), 0.1);
  }
  for (const auto& [page, schema] :
       {std::pair("device.html", "platewise.device/1"), std::pair("plate.html", "platewise.curve/1")}) {
    const std::string html = contents(folder_ / page);
    EXPECT_THAT(html, AllOf(HasSubstr(schema), HasSubstr("data:image/jpeg;base64,"), HasSubstr("Residuals"),
                            HasSubstr("class=\"outline")))
        << page;
    EXPECT_THAT(html, AllOf(Not(HasSubstr("src=\"http")), Not(HasSubstr("{{")))) << page;
  }
  const Outcome score = run({"score", "plate.tif", "--device", "device.json", "--curve", "plate-15.json",
                             "--curve", "plate-25.json", "--json", "-"});
  ASSERT_EQ(score.exit_code, 0) << score.err;
  EXPECT_EQ(json::parse(score.out).at("tones").at("calibrated"), true);
}

// A phone photo of a wedge in uneven light: with the blank sheet's photo its steps fit one curve, without it
// they do not.
TEST_F(Calibrating, ABlankSheetEvensThePhonesLight) {
  WedgeOptions phone;
  phone.steps = 12;
  phone.step_density = 0.14;
  phone.light = Light::reflected;
  phone.medium = Medium::phone_photo;
  phone.photo.uneven_light = 0.35;
  phone.px_per_mm = 8.0;
  phone.jpeg = true;
  write_wedge("phone", phone);
  ASSERT_TRUE(write_picture(folder_ / "sheet.tif", render_wedge_blank_sheet(phone),
                            {.profile = EmbeddedProfile::srgb}));
  const auto residual = [&](const Words& more) {
    Words arguments{"calibrate", "scanner", "phone.tif", "--wedge", "phone.csv", "-o", "phone.json"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    fs::remove(folder_ / "phone.json");
    const Outcome outcome = run(arguments);
    return outcome.exit_code == 0 ? written("phone.json").at("max_residual_density").get<double>() : 9.0;
  };
  const double evened = residual({"--flat", "sheet.tif"});
  EXPECT_LT(evened, 0.04);
  EXPECT_EQ(written("phone.json").at("steps").size(), 12U);
  EXPECT_LT(evened, 0.7 * residual({}));
}

TEST_F(Calibrating, StripsAreNeverCalledAWedge) {
  const Outcome strips = run({"calibrate", "plate", "plate.tif", "--strips", "2s,4s,8s,16s,32s", "--from",
                              "bottom", "-o", "strips.json"});
  if (strips.exit_code == 0) {
    EXPECT_THAT(strips.out, Not(HasSubstr("of the wedge")));
  } else {
    EXPECT_THAT(strips.err, Not(HasSubstr("the wedge")));
  }
}

// The wedge may lie over the whole opening, or as a strip beside a scene: the same curve.
TEST_F(Calibrating, AStripInsideAPictureGivesTheCurveThatBandsGive) {
  const auto gamma_of = [&](const std::string& name, const PlateOptions& options) {
    const PlateRendering plate = render_plate(options);
    EXPECT_TRUE(write_picture(folder_ / (name + ".tif"), plate.pixels, plate.format));
    const Outcome outcome =
        run({"calibrate", "plate", name + ".tif", "--wedge", "plate.csv", "-o", name + ".json"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    const json gamma = written(name + ".json").at("gamma");
    return Quantity{gamma.at("value").get<double>(), gamma.at("u").get<double>()};
  };
  PlateOptions options;
  options.px_per_mm = 6.0;
  options.device.gain = 0.72;
  options.scene = SceneKind::landscape;
  WedgeExposure exposure;
  for (int i = 0; i < 13; ++i) exposure.densities.push_back(1.03 * (0.05 + 0.2 * i));
  exposure.clear_log_exposure = 2.6;
  options.wedge = exposure;
  const Quantity bands = gamma_of("bands", options);
  options.wedge->strip = true;
  const Quantity strip = gamma_of("strip", options);
  EXPECT_NEAR(strip.value, bands.value, 2.0 * std::hypot(strip.u, bands.u));
}

// What was assumed about the file may be why a wedge is not recognised: the refusal says what to try, and
// that helps.
TEST_F(Calibrating, ARefusalSaysWhatWasAssumedOfTheFile) {
  WedgeOptions coded;
  coded.steps = 31;
  coded.step_density = 0.07;
  coded.px_per_mm = 6.0;
  coded.device.bits = 16;
  const WedgeRendering rendering = render_wedge(coded);
  PictureFormat bare = rendering.format;
  bare.profile = EmbeddedProfile::none;
  bare.icc_profile.clear();
  ASSERT_TRUE(write_picture(folder_ / "coded.tif", rendering.pixels, bare));
  ASSERT_TRUE(write_file(folder_ / "coded.csv", rendering.wedge_csv));
  const Words words{"calibrate", "scanner",    "coded.tif", "--wedge",    "coded.csv",
                    "-o",        "coded.json", "--light",   "transmitted"};
  const Outcome taken_as_linear = run(words);
  ASSERT_EQ(taken_as_linear.exit_code, 1);
  EXPECT_THAT(taken_as_linear.err, HasSubstr("--sixteen-bit gamma"));
  Words as_coded = words;
  as_coded.insert(as_coded.end(), {"--sixteen-bit", "gamma"});
  EXPECT_EQ(run(as_coded).exit_code, 0);
}

struct Refusal {
  const char* name;
  const char* scan;
  const char* wedge;
  const char* says;
};
class Refusing : public Calibrating, public ::testing::WithParamInterface<Refusal> {};

TEST_P(Refusing, NamesTheFileAndWritesNothing) {
  const Refusal& refusal = GetParam();
  for (const Words& command : {Words{"calibrate", "scanner"}, Words{"calibrate", "plate"}}) {
    Words arguments = command;
    for (const char* word :
         {refusal.scan, "--wedge", refusal.wedge, "-o", "none.json", "--report", "none.html"}) {
      arguments.emplace_back(word);
    }
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.exit_code, 1) << command[1];
    EXPECT_THAT(outcome.err, HasSubstr(refusal.says)) << command[1];
    EXPECT_FALSE(fs::exists(folder_ / "none.json"));
    EXPECT_FALSE(fs::exists(folder_ / "none.html"));
  }
}
INSTANTIATE_TEST_SUITE_P(
    Inputs, Refusing,
    ::testing::Values(Refusal{"NoWedge", "blank.tif", "wedge.csv", "blank.tif: no step wedge found"},
                      Refusal{"WrongCount", "wedge.tif", "many.csv", "31 steps"},
                      Refusal{"TooFew", "wedge.tif", "few.csv", "few.csv: lists 4 steps"},
                      Refusal{"OutOfOrder", "wedge.tif", "order.csv", "out of order"},
                      Refusal{"NoNumbers", "wedge.tif", "words.csv", "'clear' is no number"},
                      Refusal{"NoScan", "missing.tif", "wedge.csv", "missing.tif"},
                      Refusal{"NoList", "wedge.tif", "missing.csv", "missing.csv"}),
    [](const auto& row) { return std::string(row.param.name); });

TEST_F(Calibrating, ABurntOutWedgeIsRefused) {
  const Outcome outcome =
      run({"calibrate", "scanner", "burnt.tif", "--wedge", "burnt.csv", "-o", "none.json"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("burnt.tif"));
  EXPECT_FALSE(fs::exists(folder_ / "none.json"));
}

TEST_F(Calibrating, ADeviceFileOfOtherSettingsIsDoubtedOrRefused) {
  ASSERT_EQ(run({"calibrate", "scanner", "wedge.tif", "--wedge", "wedge.csv", "-o", "own.json"}).exit_code,
            0);
  const Result<DeviceCurve> own = read_device_file(folder_ / "own.json");
  ASSERT_TRUE(own.has_value());
  const auto scored_with = [&](DeviceCurve device) {
    EXPECT_TRUE(write_file(folder_ / "other.json", device_json(device)));
    return run({"score", "plate.tif", "--device", "other.json", "--json", "-"});
  };
  const auto warnings_of = [](const Outcome& outcome) {
    return json::parse(outcome.out).at("warnings").get<Words>();
  };
  DeviceCurve other = *own;
  other.bits = 16;
  EXPECT_THAT(warnings_of(scored_with(other)), Contains(HasSubstr("16-bit")));
  other = *own;
  other.colour_profile = "another profile";
  EXPECT_THAT(warnings_of(scored_with(other)), Contains(HasSubstr("another profile")));
  other = *own;
  other.resolution_dpi = 17.0;
  EXPECT_THAT(warnings_of(scored_with(other)), Contains(HasSubstr("17 dpi")));
  other = *own;
  other.light = Light::transmitted;
  const Outcome refused = scored_with(other);
  EXPECT_EQ(refused.exit_code, 1);
  EXPECT_THAT(refused.err, HasSubstr("transmitted light"));
}

}  // namespace
}  // namespace platewise
