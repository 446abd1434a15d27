#include "platewise/faults/find_faults.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>
#include <set>

#include "platewise/faults/detector.h"
#include "platewise/knowledge/fault_table.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

constexpr int kWidth = 600;
constexpr int kHeight = 480;
constexpr double kPxPerMm = 12.0;
constexpr double kGrain = 0.03;

struct Drawn {
  PlateDensity plate;
  Regions regions;
};

// An even grey plate with white grain: the background on which chance alone acts.
Drawn grain_plate(std::uint64_t seed, double grain = kGrain) {
  Drawn drawn;
  cv::Mat density(kHeight, kWidth, CV_32FC1);
  Random random(seed);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) density.at<float>(y, x) = static_cast<float>(random.normal(0.9, grain));
  }
  drawn.plate.image = {density, kPxPerMm};
  drawn.plate.lowest = density;
  drawn.plate.highest = density;
  const cv::Mat all(kHeight, kWidth, CV_8UC1, cv::Scalar(255));
  drawn.regions.plate.inside = all;
  drawn.regions.film.inside = all;
  drawn.regions.picture.inside = all;
  return drawn;
}

void draw_disc(Drawn& drawn, cv::Point2d centre, double radius_px, double change) {
  cv::Mat disc(kHeight, kWidth, CV_32FC1, cv::Scalar(0));
  constexpr int kShift = 4;  // sub-pixel drawing
  cv::circle(disc, cv::Point(cv::Point2d(centre * 16.0)), static_cast<int>(std::lround(radius_px * 16)),
             cv::Scalar(change), cv::FILLED, cv::LINE_8, kShift);
  drawn.plate.image.density += disc;  // lowest and highest share these pixels
}

std::size_t found_near(const Faults& faults, cv::Point2d centre, std::string_view id = {}) {
  std::size_t count = 0;
  for (const Fault& fault : faults.found) {
    const double x = (fault.box_origin.x + fault.box_width / 2) * kPxPerMm;
    const double y = (fault.box_origin.y + fault.box_height / 2) * kPxPerMm;
    count += std::hypot(x - centre.x, y - centre.y) < 12 && (id.empty() || fault.id == id);
  }
  return count;
}

// The same from a scan three times as fine: the read pass keeps the least and the greatest value of each
// pixel.
Drawn finer_scanned_grain(std::uint64_t seed) {
  Drawn drawn = grain_plate(seed);
  Random random(seed + 500);
  drawn.plate.lowest = cv::Mat(kHeight, kWidth, CV_32FC1);
  drawn.plate.highest = cv::Mat(kHeight, kWidth, CV_32FC1);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      double sum = 0.0;
      double low = 1e9;
      double high = -1e9;
      for (int i = 0; i < 9; ++i) {
        const double value = random.normal(0.9, 3.0 * kGrain);
        sum += value / 9.0;
        low = std::min(low, value);
        high = std::max(high, value);
      }
      drawn.plate.image.density.at<float>(y, x) = static_cast<float>(sum);
      drawn.plate.lowest.at<float>(y, x) = static_cast<float>(low);
      drawn.plate.highest.at<float>(y, x) = static_cast<float>(high);
    }
  }
  return drawn;
}

TEST(Faults, ChanceAloneGivesNoDetectorMoreThanItsBound) {
  constexpr int kPlates = 12;
  std::map<std::string_view, int> by_detector;
  int all = 0;
  for (int seed = 1; seed <= kPlates; ++seed) {
    const auto s = static_cast<std::uint64_t>(seed);
    const Drawn drawn = seed % 2 == 0 ? finer_scanned_grain(s) : grain_plate(s, 0.006 * seed);
    const PlateKind kind = seed % 3 == 0 ? PlateKind::negative : PlateKind::tintype;
    for (const Fault& fault : find_faults(drawn.plate, drawn.regions, {.kind = kind}).found) {
      ++all;
      for (const Detector& detector : detectors())
        if (std::find(detector.ids.begin(), detector.ids.end(), fault.id) != detector.ids.end())
          ++by_detector[detector.looks_for];
    }
  }
  // At most 0.2 a plate in the mean, 2.4 on twelve: more than 6 has probability below 0.01 (Poisson). Of one
  // detector at most 0.07 a plate, 0.8 on twelve: more than 3 has probability below 0.01.
  EXPECT_LE(all, 6);
  for (const auto& [detector, count] : by_detector) EXPECT_LE(count, 3) << detector;
}

TEST(Faults, IsolatedSpecksAreFoundWhereTheyAre) {
  Drawn drawn = grain_plate(21);
  const struct {
    cv::Point2d centre;
    double radius_px;
    double change;  // of density: plus is dark on a positive
    std::string_view id;
  } specks[] = {{{100, 100}, 1.2, 0.40, "pinhole"},
                {{300, 90}, 4.0, 0.30, "dust_speck"},
                {{480, 200}, 4.0, -0.30, "dust_speck"},
                {{200, 330}, 8.0, 0.25, "dust_speck"}};
  for (const auto& speck : specks) draw_disc(drawn, speck.centre, speck.radius_px, speck.change);
  const Faults faults = find_faults(drawn.plate, drawn.regions, {});
  for (const auto& speck : specks) {
    EXPECT_EQ(found_near(faults, speck.centre, speck.id), 1U) << speck.id << " at " << speck.centre;
  }
  EXPECT_EQ(faults.found.size(), std::size(specks));
}

TEST(Faults, LinesAndSoftSpotsOfThePictureAreNotSpecks) {
  Drawn drawn = grain_plate(23);
  for (int i = 0; i < 12; ++i) {
    cv::line(drawn.plate.image.density, {40 * i, 0}, {40 * i + 150, kHeight}, cv::Scalar(1.5), 2);
  }
  cv::GaussianBlur(drawn.plate.image.density, drawn.plate.image.density, {5, 5}, 0);
  EXPECT_LE(find_faults(drawn.plate, drawn.regions, {}).found.size(), 1U);
}

TEST(Faults, ConstantDensityAddedChangesNothing) {
  Drawn drawn = grain_plate(24);
  draw_disc(drawn, {200, 200}, 4.0, 0.3);
  const Faults before = find_faults(drawn.plate, drawn.regions, {});
  drawn.plate.image.density += 0.5;
  const Faults after = find_faults(drawn.plate, drawn.regions, {});
  ASSERT_EQ(before.found.size(), after.found.size());
  EXPECT_EQ(before.found.size(), 1U);
}

TEST(Faults, WhatLiesInThePartThatMattersIsMoreSevere) {
  Drawn drawn = grain_plate(26);
  draw_disc(drawn, {150, 150}, 4.0, 0.3);
  draw_disc(drawn, {450, 350}, 4.0, 0.3);
  const auto severity_near = [&](const Faults& faults, cv::Point2d centre) {
    for (const Fault& fault : faults.found)
      if (std::hypot(fault.box_origin.x * kPxPerMm - centre.x, fault.box_origin.y * kPxPerMm - centre.y) < 20)
        return fault.severity;
    return -1.0;
  };
  const Faults even = find_faults(drawn.plate, drawn.regions, {});
  const Faults face = find_faults(drawn.plate, drawn.regions, {.subject_units = SubjectBox{5, 5, 15, 15}});
  ASSERT_GT(severity_near(even, {150, 150}), 0.0);
  EXPECT_GT(severity_near(face, {150, 150}), severity_near(even, {150, 150}) + 0.3);
  EXPECT_DOUBLE_EQ(severity_near(face, {450, 350}), severity_near(even, {450, 350}));
}

TEST(Faults, EachDetectorSaysTheSmallestMarkItCanFind) {
  const Drawn drawn = grain_plate(27);
  const Faults faults = find_faults(drawn.plate, drawn.regions, {});
  for (const Detector& detector : detectors()) {
    EXPECT_GE(detector.smallest_px, 2.0);
    if (detector.needs_colour) continue;  // colour_faults_test.cpp
    EXPECT_TRUE(std::any_of(faults.warnings.begin(), faults.warnings.end(), [&](const std::string& warning) {
      return warning.find(detector.looks_for) != std::string::npos;
    })) << detector.looks_for;
  }
}

TEST(Faults, EveryDetectorNamesFaultsOfTheTable) {
  std::set<std::string_view> looked_for;
  for (const Detector& detector : detectors()) {
    EXPECT_FALSE(detector.looks_for.empty());
    for (const std::string_view id : detector.ids) {
      EXPECT_NE(known_fault(id), nullptr) << id;
      EXPECT_TRUE(looked_for.insert(id).second) << id << " has two detectors";
    }
  }
}

TEST(Faults, FoundFaultsCarryCausesRemediesAndCautions) {
  Drawn drawn = grain_plate(25);
  draw_disc(drawn, {200, 200}, 4.0, 0.3);
  const Faults faults = find_faults(drawn.plate, drawn.regions, {});
  ASSERT_EQ(faults.found.size(), 1U);
  EXPECT_FALSE(faults.found.front().likely_causes.empty());
  EXPECT_FALSE(faults.found.front().remedies.empty());
}

}  // namespace
}  // namespace platewise
