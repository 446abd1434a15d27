#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "drawn_film.h"
#include "platewise/faults/find_faults.h"

namespace platewise {
namespace {

constexpr Point kOfTheScene[] = {{14, 14}, {36, 20}, {18, 44}, {34, 48}};
constexpr Point kOfThisPlate[] = {{25, 31}, {38, 36}};

void draw_dot(DrawnFilm& film, Point at, double change) {
  lighten(film, [&](double x, double y) { return std::hypot(x - at.x, y - at.y) < 0.7 ? change : 0.0; });
}

bool found_at(const Faults& faults, Point at) {
  return std::any_of(faults.found.begin(), faults.found.end(), [&](const Fault& fault) {
    return std::hypot(fault.box_origin.x + fault.box_width / 2 - at.x,
                      fault.box_origin.y + fault.box_height / 2 - at.y) < 1.0;
  });
}

// Dots of the scene on both plates, shifted by `shift_mm` and fainter on the other; dots of this plate alone.
struct Pair {
  DrawnFilm plate = drawn_film(31);
  DrawnFilm other = drawn_film(32);
  SameScene scene;
};
Pair drawn_pair(Point shift_mm) {
  Pair pair;
  for (const Point dot : kOfTheScene) {
    draw_dot(pair.plate, dot, 0.3);
    draw_dot(pair.other, dot + shift_mm, 0.22);
  }
  for (const Point dot : kOfThisPlate) draw_dot(pair.plate, dot, -0.25);
  pair.scene.image = pair.other.plate.image;
  pair.scene.other_from_plate.matrix(0, 2) = shift_mm.x;
  pair.scene.other_from_plate.matrix(1, 2) = shift_mm.y;
  return pair;
}

TEST(SameScene, WhatBothPlatesShowIsPictureAndWhatOneShowsIsAFault) {
  const Pair pair = drawn_pair({1.5, -0.8});
  const Faults alone = find_faults(pair.plate.plate, pair.plate.regions, {});
  const Faults compared = find_faults(pair.plate.plate, pair.plate.regions, {.same_scene = pair.scene});
  for (const Point dot : kOfTheScene) {
    EXPECT_TRUE(found_at(alone, dot)) << dot.x;
    EXPECT_FALSE(found_at(compared, dot)) << dot.x;
  }
  for (const Point dot : kOfThisPlate) EXPECT_TRUE(found_at(compared, dot)) << dot.x;
  EXPECT_TRUE(std::any_of(compared.warnings.begin(), compared.warnings.end(), [](const std::string& warning) {
    return warning.find("4 of the marks found stand on the reference scan too") != std::string::npos;
  }));
}

TEST(SameScene, AFaultThatTheOtherLacksIsBelievedMore) {
  const Pair pair = drawn_pair({0, 0});
  const auto confidence = [&](const Faults& faults) {
    for (const Fault& fault : faults.found)
      if (std::hypot(fault.box_origin.x - 25, fault.box_origin.y - 31) < 2.0) return fault.confidence;
    return -1.0;
  };
  const double alone = confidence(find_faults(pair.plate.plate, pair.plate.regions, {}));
  const double compared =
      confidence(find_faults(pair.plate.plate, pair.plate.regions, {.same_scene = pair.scene}));
  EXPECT_GT(alone, 0.0);
  EXPECT_GT(compared, alone);
}

TEST(SameScene, GrainOfTheOtherPlateHidesNoFault) {
  Pair pair = drawn_pair({0, 0});
  pair.scene.image = drawn_film(33).plate.image;  // an empty plate: nothing recurs
  const Faults alone = find_faults(pair.plate.plate, pair.plate.regions, {});
  const Faults compared = find_faults(pair.plate.plate, pair.plate.regions, {.same_scene = pair.scene});
  EXPECT_EQ(compared.found.size(), alone.found.size());
}

}  // namespace
}  // namespace platewise
