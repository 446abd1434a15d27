#include "platewise/sensitometry/speed.h"

#include <gtest/gtest.h>

#include <cmath>

#include "published/published.h"

namespace platewise {
namespace {

TEST(Speed, StopsMatchThePublishedRule) {
  // recommendation_arithmetic.json, stops (rule READ, figures to 10 digits).
  for (const auto& row : published::json("recommendation_arithmetic.json")["stops"]["rows"]) {
    const double stops = row[0];
    EXPECT_NEAR(log_exposure_from_stops(stops), row[2].get<double>(), 1e-9);
    EXPECT_NEAR(stops_from_log_exposure(row[2]), stops, 1e-8);
  }
}

TEST(Speed, IsoNumbersMatchTheStandardsTable) {
  // sensitometry.json, iso6: rows are rounded to the standard series there.
  for (const auto& row : published::json("sensitometry.json")["iso6"]["rows"]) {
    const double speed = iso_speed(row["Hm"]);
    EXPECT_NEAR(speed, row["S"], 1e-6 * speed);
    EXPECT_NEAR(logarithmic_iso_speed(speed), row["degrees"].get<double>(), 0.5);
  }
}

TEST(Speed, PlateSpeedNumbersMatchMartin) {
  // Martin 1919 as in sensitometry.json and plate_speed_numbers.csv, with the tolerances and the two
  // misprints named in its header.
  const auto worked = published::json("sensitometry.json")["hd_speed"]["worked"];
  EXPECT_NEAR(hurter_driffield_speed(worked["inertia"]), worked["hd"], 1e-9);
  EXPECT_NEAR(watkins_speed(worked["inertia"]), worked["watkins"], 1e-9);
  EXPECT_NEAR(wynne_speed(worked["watkins"]), worked["wynne_unrounded"], 1e-8);
  for (const auto& row : published::csv("plate_speed_numbers.csv")) {
    const double hd = std::stod(row[0]);
    const double watkins = watkins_speed(34.0 / hd);
    EXPECT_NEAR(watkins, std::stod(row[3]), 1e-6);
    EXPECT_NEAR(watkins, std::stod(row[1]), hd == 40 || hd == 80 ? 2.5 : 1.0);
    const bool misprint = hd == 20 || hd == 160;
    if (!misprint) {
      EXPECT_NEAR(wynne_speed(watkins), std::stod(row[2]), 1.5);
    }
  }
}

TEST(Speed, WatkinsFactorsGiveTheQuotedTimes) {
  for (const auto& row : published::json("sensitometry.json")["watkins"]["rows"]) {
    EXPECT_DOUBLE_EQ(development_by_factor(row["appearance_s"], row["factor"]), row["total_s"]);
  }
}

TEST(Speed, SchwarzschildTimesMatchTheLaw) {
  // sensitometry.json, schwarzschild: equal blackening when I t^p is equal.
  for (const auto& row : published::json("sensitometry.json")["schwarzschild"]["rows"]) {
    const double p = row["p"];
    EXPECT_NEAR(time_at_other_light(1.0, 1.0 / 2.0, p), row["time_for_I_over_2"], 1e-9);
    EXPECT_NEAR(time_at_other_light(1.0, 1.0 / 10.0, p), row["time_for_I_over_10"], 1e-8);
  }
}

}  // namespace
}  // namespace platewise
