#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "drawn_film.h"

namespace platewise {
namespace {

struct Drawn {
  double x, y, length, angle_deg;  // mm; of the tail, counter-clockwise from the right
  double radius = 0.6;
  double head = 0.25;  // silver; negative for a head that is bare
  double tail = 0.12;
};

void draw_comet(DrawnFilm& film, const Drawn& comet) {
  const double angle = comet.angle_deg * CV_PI / 180.0;
  lighten(film, [&](double x, double y) {
    const double u = (x - comet.x) * std::cos(angle) - (y - comet.y) * std::sin(angle);
    const double v = (x - comet.x) * std::sin(angle) + (y - comet.y) * std::cos(angle);
    const double left = u > 0 && u < comet.length ? 1.0 - u / comet.length : 0.0;
    const double half = comet.radius * (0.3 + 0.5 * left);
    const double core = std::clamp(0.5 + (comet.radius - std::hypot(u, v)) * DrawnFilm::kPxPerMm, 0.0, 1.0);
    return comet.head * core + (1.0 - core) * comet.tail * left * std::exp(-0.5 * std::pow(v / half, 2.0));
  });
}

// An even line with round ends, as of a bar or a hair; a knob at its beginning.
void draw_pin(DrawnFilm& film, const Drawn& pin, double knob) {
  const double angle = pin.angle_deg * CV_PI / 180.0;
  lighten(film, [&](double x, double y) {
    const double u = (x - pin.x) * std::cos(angle) - (y - pin.y) * std::sin(angle);
    const double v = (x - pin.x) * std::sin(angle) + (y - pin.y) * std::cos(angle);
    const double from_line = std::hypot(u - std::clamp(u, 0.0, pin.length), v);
    const double inside = std::max(pin.radius - from_line, knob - std::hypot(u, v));
    return pin.head * std::clamp(0.5 + inside * DrawnFilm::kPxPerMm, 0.0, 1.0);
  });
}

std::vector<Fault> comets_of(const DrawnFilm& film) {
  std::vector<Fault> comets;
  for (const Fault& fault : film.faults().found)
    if (fault.id == "comet") comets.push_back(fault);
  return comets;
}

TEST(Comet, OneAloneIsFoundOnPlainGround) {
  struct Row {
    double radius, head, tail, angle_deg;
  };
  for (const Row& row :
       {Row{0.6, 0.25, 0.12, 20.0}, Row{0.8, 0.10, 0.06, 130.0}, Row{0.5, -0.25, 0.12, 250.0},
        Row{0.8, 0.3, -0.10, 300.0}, Row{0.6, -0.3, -0.12, 75.0}}) {
    DrawnFilm film = drawn_film(31);
    draw_comet(film, {24.0, 30.0, 9.0, row.angle_deg, row.radius, row.head, row.tail});
    const std::vector<Fault> comets = comets_of(film);
    ASSERT_EQ(comets.size(), 1U) << row.radius << " " << row.head << " " << row.tail;
    EXPECT_LE(std::abs(std::remainder(comets[0].angle_deg.value() - row.angle_deg, 360.0)), 8.0);
    EXPECT_NEAR(comets[0].width.value(), 2.0 * row.radius, 0.3);
  }
}

TEST(Comet, HeadsWithTaperingTailsAreFoundWithTheirDirectionAndAreNoSpecksAsWell) {
  for (const double head : {0.25, -0.25}) {
    for (const double angle_deg : {20.0, 250.0}) {
      DrawnFilm film = drawn_film(21);
      for (const double x : {14.0, 24.0, 34.0}) draw_comet(film, {x, 1.8 * x, 9.0, angle_deg, 0.6, head});
      const std::vector<Fault> comets = comets_of(film);
      EXPECT_GE(comets.size(), 2U) << head << " " << angle_deg;
      EXPECT_LE(comets.size(), 3U) << head << " " << angle_deg;
      for (const Fault& comet : comets) {
        EXPECT_LE(std::abs(std::remainder(comet.angle_deg.value() - angle_deg, 360.0)), 8.0);
        EXPECT_NEAR(comet.width.value(), 1.2, 0.3);
        EXPECT_GT(comet.length.value(), 5.0);
        EXPECT_LT(comet.length.value(), 11.0);
      }
      const Faults all = film.faults();
      EXPECT_EQ(count_of(all, "dust_speck") + count_of(all, "pinhole") + count_of(all, "tear_hole"), 0);
    }
  }
}

TEST(Comet, GrainAloneHasNone) {
  int found = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) found += count_of(drawn_film(seed).faults(), "comet");
  // Bound 0.2 / detectors a plate: 1 of 20 in the mean at most; 4 or more by chance below 0.02 (Poisson).
  EXPECT_LE(found, 3);
}

TEST(Comet, ARoundSpeckWithoutATailIsNone) {
  DrawnFilm film = drawn_film(22);
  for (int i = 0; i < 12; ++i)
    draw_comet(film, {10.0 + 2.6 * i, 12.0 + 11.0 * (i % 4), 1.0, 0.0, 0.6, 0.25, 0.0});
  EXPECT_EQ(count_of(film.faults(), "comet"), 0);
}

TEST(Comet, BarsAndPinsThatDoNotFadeAreThePicturesOwn) {
  for (const double knob : {0.0, 0.6}) {
    DrawnFilm film = drawn_film(23);
    for (int i = 0; i < 8; ++i)
      draw_pin(film, {10.0 + 3.5 * i, 15.0 + 4.0 * (i % 5), 9.0, 270.0 + 5.0 * (i % 3), 0.25, 0.25}, knob);
    EXPECT_EQ(count_of(film.faults(), "comet"), 0) << knob;
  }
}

TEST(Comet, StrokesThatTaperFromALineAreThePicturesOwn) {
  DrawnFilm film = drawn_film(24);
  draw_pin(film, {25.0, 55.0, 45.0, 90.0, 0.5, 0.2}, 0.0);
  for (int i = 0; i < 10; ++i)
    draw_comet(film, {25.0, 52.0 - 4.0 * i, 8.0, i % 2 == 0 ? 40.0 : 140.0, 0.3, 0.0, 0.2});
  EXPECT_EQ(count_of(film.faults(), "comet"), 0);
}

TEST(Comet, ThoseOfOneDirectionSupportEachOther) {
  const std::vector<Drawn> together{
      {14.0, 20.0, 8.0, 300.0}, {30.0, 16.0, 8.0, 303.0}, {26.0, 36.0, 8.0, 297.0}};
  const auto best_meaning = [&](double turn) {
    DrawnFilm film = drawn_film(25);
    for (std::size_t i = 0; i < together.size(); ++i) {
      Drawn comet = together[i];
      comet.angle_deg += turn * static_cast<double>(i);
      draw_comet(film, comet);
    }
    double best = 0.0;
    for (const Fault& comet : comets_of(film)) best = std::min(best, comet.log10_nfa.value());
    return best;
  };
  EXPECT_LT(best_meaning(0.0), best_meaning(100.0) - 1.0);
}

}  // namespace
}  // namespace platewise
