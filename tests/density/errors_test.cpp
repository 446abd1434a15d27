#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "platewise/density/density_errors.h"

namespace platewise {
namespace {

DensityErrors usual() {
  return errors_of(scanner_prior(Light::reflected, false));
}

TEST(DensityErrors, ACommonOffsetDropsOutOfDifferences) {
  DensityErrors errors;
  errors.covariance(0, 0) = 0.25 * 0.25;
  EXPECT_DOUBLE_EQ(u_at(errors, 1.0), 0.25);
  EXPECT_DOUBLE_EQ(u_of_difference(errors, 1.3, 0.5), 0.0);
}

TEST(DensityErrors, FlareMattersInTheDarks) {
  DensityErrors errors;
  errors.covariance(2, 2) = 0.004 * 0.004;
  // log10(1 + f/s) for small f/s is f / (s ln 10).
  EXPECT_NEAR(u_at(errors, 1.35), 0.004 / (std::pow(10.0, -1.35) * std::numbers::ln10), 1e-12);
  EXPECT_GT(u_of_difference(errors, 1.35, 0.5), 5.0 * u_of_difference(errors, 0.7, 0.5));
}

TEST(DensityErrors, ADifferenceOfNearbyDensitiesIsSurerThanEither) {
  const DensityErrors errors = usual();
  EXPECT_LT(u_of_difference(errors, 1.30, 1.25), 0.02);
  EXPECT_GT(u_at(errors, 1.30), 0.2);
  EXPECT_DOUBLE_EQ(u_of_difference(errors, 1.3, 1.3), 0.0);
}

TEST(DensityErrors, AKnownPatchPullsTheOffsetAndNarrowsIt) {
  const Pulled pulled = pulled_by(usual(), {0.30, 0.0}, {0.07, 0.06});
  EXPECT_NEAR(pulled.shift, -0.23, 0.02);  // 0.25 against 0.06: most of the way
  EXPECT_LT(u_at(pulled.errors, 0.07), 0.07);
  EXPECT_LT(u_at(pulled.errors, 1.35), 0.15);
}

TEST(DensityErrors, AVaguePatchPullsLittle) {
  const Pulled pulled = pulled_by(usual(), {0.30, 0.0}, {0.07, 1.0});
  EXPECT_LT(std::abs(pulled.shift), 0.03);
}

TEST(DensityErrors, PullingNeverWidensTheDensityThatWasKnown) {
  for (const double known_u : {0.01, 0.1, 0.5}) {
    const DensityErrors before = usual();
    const Pulled pulled = pulled_by(before, {1.2, 0.01}, {1.35, known_u});
    EXPECT_LT(u_at(pulled.errors, 1.35), u_at(before, 1.2)) << known_u;
  }
}

}  // namespace
}  // namespace platewise
