#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "drawn_film.h"
#include "platewise/faults/detector.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

using Rgb = cv::Vec3d;
using Paint = std::function<Rgb(double x_mm, double y_mm, double silver, Rgb light)>;

constexpr double kColourPxPerMm = 3.0;
constexpr double kSupport = 1.3;
const Rgb kNeutral(1.0, 1.0, 1.0);
const Rgb kCool(0.94, 1.0, 1.10);
const Rgb kWarm(1.08, 1.0, 0.80);
const Rgb kRuby(2.9, 0.55, 0.30);

struct Look {
  Rgb support = kCool;
  Rgb silver = kWarm;
  double noise = 0.01;  // of a colour pixel's light
  PlateKind kind = PlateKind::tintype;
  bool photo = false;
};

// Tones from the support's black up to 0.9 D lighter all over the plate, with steps and slopes between.
double silver_at(double x, double y) {
  const double waves = 0.5 + 0.25 * std::sin(x / 4.1) + 0.25 * std::cos(y / 5.3);
  const bool inside = std::fmod(x, 17.0) > 11.0 && std::fmod(y, 19.0) > 12.0;
  return std::clamp(inside ? 1.1 - waves : waves, 0.02, 1.0) * 0.9;
}

// A plate as coloured(look) has it; silver and support mix their colours as their light mixes.
DrawnFilm coloured(std::uint64_t seed, const Look& look, const Paint& paint = {}) {
  DrawnFilm film = drawn_film(seed, false);
  cv::Mat& density = film.plate.image.density;
  const bool positive = is_positive(look.kind);
  for (int y = 0; y < density.rows; ++y)
    for (int x = 0; x < density.cols; ++x) {
      const double silver = silver_at((x + 0.5) / DrawnFilm::kPxPerMm, (y + 0.5) / DrawnFilm::kPxPerMm);
      density.at<float>(y, x) += static_cast<float>((positive ? kSupport - silver : 0.05 + silver) - 1.0);
    }
  Random random(seed + 77);
  ColourImage& colour = film.plate.colour;
  colour.px_per_unit = kColourPxPerMm;
  colour.photo = look.photo;
  colour.rgb.create(static_cast<int>(DrawnFilm::kHeightMm * kColourPxPerMm),
                    static_cast<int>(DrawnFilm::kWidthMm * kColourPxPerMm), CV_32FC3);
  for (int y = 0; y < colour.rgb.rows; ++y)
    for (int x = 0; x < colour.rgb.cols; ++x) {
      const double x_mm = (x + 0.5) / kColourPxPerMm;
      const double y_mm = (y + 0.5) / kColourPxPerMm;
      const double silver = silver_at(x_mm, y_mm);
      const double light = std::pow(10.0, positive ? silver - kSupport : -0.05 - silver);
      const double black = std::min(light, std::pow(10.0, -kSupport));
      Rgb rgb = positive ? look.support * black + look.silver * (light - black) : look.silver * light;
      if (paint) rgb = paint(x_mm, y_mm, silver, rgb);
      for (int c = 0; c < 3; ++c) rgb[c] *= 1.0 + random.normal(0.0, look.noise);
      colour.rgb.at<cv::Vec3f>(y, x) = cv::Vec3f(rgb);
    }
  return film;
}

// What the detector of colours finds beyond chance.
std::vector<Candidate> found(const DrawnFilm& film, const Look& look = {}) {
  const Evidence evidence = gathered(film.plate, film.regions, look.kind, true);
  std::vector<Candidate> kept;
  for (const Detector& detector : detectors()) {
    if (!detector.needs_colour) continue;
    for (const Candidate& candidate : detector.propose(evidence))
      if (*candidate.log10_nfa < -2.0) kept.push_back(candidate);
  }
  return kept;
}

int count_of(const std::vector<Candidate>& candidates, std::string_view id) {
  return static_cast<int>(
      std::count_if(candidates.begin(), candidates.end(), [&](const Candidate& c) { return c.id == id; }));
}

double soft_disc(double x, double y, double at_x, double at_y, double radius) {
  return 1.0 / (1.0 + std::exp((std::hypot(x - at_x, y - at_y) - radius) / 0.5));
}

// Density of red, green and blue taken off in a disc.
Paint stain(double at_x, double at_y, double radius, const Rgb& density) {
  return [=](double x, double y, double, Rgb light) {
    const double share = soft_disc(x, y, at_x, at_y, radius);
    for (int c = 0; c < 3; ++c) light[c] *= std::pow(10.0, -share * density[c]);
    return light;
  };
}

Paint haze(double at_x, double at_y, double radius) {
  return [=](double x, double y, double, const Rgb& light) {
    return light + 0.05 * soft_disc(x, y, at_x, at_y, radius) * Rgb(1.05, 1.0, 0.6);
  };
}

// Everything lighter than `from` turns blue, the more the lighter.
Paint blue_lights(double from) {
  return [=](double, double, double silver, Rgb light) {
    const double share = std::clamp((silver - from) / 0.1, 0.0, 1.0);
    light[0] *= std::pow(10.0, -0.07 * share);
    light[2] *= std::pow(10.0, 0.09 * share);
    return light;
  };
}

void expect_at(const std::vector<Candidate>& faults, std::string_view id, double x, double y) {
  ASSERT_EQ(faults.size(), 1U) << id;
  EXPECT_EQ(faults.front().id, id);
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};
  for (const Point p : faults.front().outline_units) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  EXPECT_NEAR((low.x + high.x) / 2.0, x, 2.0) << id;
  EXPECT_NEAR((low.y + high.y) / 2.0, y, 2.0) << id;
}

TEST(ColourFaults, AGreenOrBlueCastOverLightsAndDarksIsAnIronStain) {
  for (const Rgb& dye : {Rgb(0.10, 0.0, 0.0), Rgb(0.10, 0.0, 0.06), Rgb(0.08, 0.02, -0.03)})
    expect_at(found(coloured(1, {}, stain(20, 30, 7, dye))), "iron_stain", 20, 30);
}

TEST(ColourFaults, RustAtTheEdgeIsAnIronStainOnIronAlone) {
  const Paint rust = stain(4.5, 30, 3.5, Rgb(-0.05, 0.02, 0.15));
  expect_at(found(coloured(2, {}, rust)), "iron_stain", 4, 30);
  const Look glass{.kind = PlateKind::ambrotype};
  EXPECT_TRUE(found(coloured(2, glass, rust), glass).empty());
  EXPECT_TRUE(found(coloured(2, {}, stain(25, 30, 2.5, Rgb(-0.05, 0.02, 0.15)))).empty());
}

TEST(ColourFaults, AYellowHazeOverTheBlacksIsLeftOfTheFixing) {
  const auto faults = found(coloured(3, {}, haze(22, 21, 6)));
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_EQ(faults.front().id, "underfix_veil");
}

TEST(ColourFaults, YellowInANegativeIsLeftOfTheFixing) {
  const Look negative{.kind = PlateKind::negative};
  expect_at(found(coloured(4, negative, stain(25, 30, 8, Rgb(0.0, 0.01, 0.08))), negative), "underfix_veil",
            25, 30);
}

TEST(ColourFaults, BlueLightsAreSolarised) {
  const auto faults = found(coloured(5, {}, blue_lights(0.72)));
  EXPECT_GE(count_of(faults, "solarised_blue"), 1);
  EXPECT_EQ(faults.size(), static_cast<std::size_t>(count_of(faults, "solarised_blue")));
}

TEST(ColourFaults, NoPlateOfOneColourAlongItsTonesHasOne) {
  std::uint64_t seed = 10;
  for (const Rgb& support : {kNeutral, kCool, kWarm, kRuby})
    for (const Rgb& silver : {kNeutral, kWarm, Rgb(0.97, 1.0, 1.03)})
      for (const PlateKind kind : {PlateKind::tintype, PlateKind::ambrotype, PlateKind::negative}) {
        const Look look{.support = support,
                        .silver = silver,
                        .noise = 0.005 * static_cast<double>(seed % 5),
                        .kind = kind};
        EXPECT_TRUE(found(coloured(++seed, look), look).empty())
            << support << ' ' << silver << ' ' << name_of(kind);
      }
}

TEST(ColourFaults, WhiteBalanceChangesNothing) {
  const Paint dye = stain(20, 30, 7, Rgb(0.10, 0.0, 0.0));
  const auto before = found(coloured(6, {}, dye));
  const auto after = found(coloured(6, {}, [&](double x, double y, double silver, const Rgb& light) {
    return dye(x, y, silver, light).mul(Rgb(1.3, 1.0, 0.7));
  }));
  ASSERT_EQ(before.size(), 1U);
  ASSERT_EQ(after.size(), 1U);
  EXPECT_EQ(after.front().id, "iron_stain");
  EXPECT_NEAR(after.front().area, before.front().area, 0.1 * before.front().area);
}

TEST(ColourFaults, PaintByHandIsNone) {
  const Paint rouge = stain(25, 30, 3, Rgb(-0.03, 0.08, 0.05));
  const Paint gilt = stain(30, 40, 0.8, Rgb(-0.05, 0.0, 0.25));
  // A blue cloth, as far as its outline goes.
  const Paint cloth = [](double x, double y, double, Rgb light) {
    if (x < 28 || x > 34 || y < 31 || y > 38) return light;
    return Rgb(light[0] * 0.8, light[1], light[2] * 1.1);
  };
  for (const Paint& paint : {rouge, gilt, cloth}) EXPECT_TRUE(found(coloured(7, {}, paint)).empty());
}

// Window on one side, lamp on the other; channels half a pixel apart.
TEST(ColourFaults, UnevenLightAndChannelsOffRegisterAreNone) {
  const Paint lamp = [](double x, double, double, Rgb light) {
    const double along = x / DrawnFilm::kWidthMm - 0.5;
    return Rgb(light[0] * (1.0 + 0.12 * along), light[1], light[2] * (1.0 - 0.12 * along));
  };
  for (const bool photo : {false, true}) {
    const Look look{.photo = photo};
    EXPECT_TRUE(found(coloured(31, look, lamp), look).empty()) << photo;
  }
  DrawnFilm film = coloured(32, {});
  std::vector<cv::Mat> channels;
  cv::split(film.plate.colour.rgb, channels);
  const cv::Matx23d move(1.0, 0.0, 0.15, 0.0, 1.0, -0.15);
  cv::warpAffine(channels[0].clone(), channels[0], move, channels[0].size(), cv::INTER_LINEAR,
                 cv::BORDER_REPLICATE);
  cv::merge(channels, film.plate.colour.rgb);
  EXPECT_TRUE(found(film).empty());
}

TEST(ColourFaults, APhotoIsNotTrustedWithYellowNorANegativeWithAny) {
  const Look photo{.photo = true};
  EXPECT_TRUE(found(coloured(8, photo, haze(22, 21, 6))).empty());
  const Look negative{.kind = PlateKind::negative, .photo = true};
  EXPECT_TRUE(found(coloured(8, negative, stain(25, 30, 8, Rgb(0.10, 0.0, 0.08))), negative).empty());
}

bool warned_of(const Faults& faults, std::string_view words) {
  return std::any_of(faults.warnings.begin(), faults.warnings.end(),
                     [&](const std::string& warning) { return warning.find(words) != std::string::npos; });
}

TEST(ColourFaults, AGreyScanShowsNoneAndClaimsNone) {
  DrawnFilm film = coloured(9, {}, stain(20, 30, 7, Rgb(0.10, 0.0, 0.0)));
  const Faults in_colour = film.faults();
  EXPECT_EQ(count_of(in_colour, "iron_stain"), 1);
  EXPECT_FALSE(warned_of(in_colour, "iron stain,"));
  EXPECT_TRUE(warned_of(in_colour, "for iron stains"));
  film.plate.colour = {};
  const Faults in_grey = film.faults();
  EXPECT_EQ(count_of(in_grey, "iron_stain"), 0);
  EXPECT_TRUE(warned_of(in_grey, "(a grey scan shows none of colour)"));
  EXPECT_TRUE(warned_of(in_grey, "iron stain,"));
  EXPECT_FALSE(warned_of(in_grey, "for iron stains"));
}

}  // namespace
}  // namespace platewise
