#include "platewise/demo/process_model.h"

#include <gtest/gtest.h>

#include <cmath>

#include "platewise/demo/device_model.h"

namespace platewise {
namespace {

constexpr PlateKind kKinds[] = {PlateKind::tintype, PlateKind::ambrotype, PlateKind::negative};

// handbook/numbers.csv, "iron-developed iodide plate net density": READ from a third-party tracing (to about
// 0.01) of Skladnikiewitz, Hertel & Schmidt 1998.
struct Traced {
  double log_exposure, density;
};
constexpr Traced kTraced[] = {{0.8, 0.07}, {0.9, 0.10}, {1.0, 0.17}, {1.1, 0.30}, {1.2, 0.44}, {1.3, 0.57},
                              {1.4, 0.70}, {1.5, 0.81}, {1.6, 0.91}, {1.7, 0.96}, {1.8, 1.07}, {1.9, 1.13},
                              {2.0, 1.18}, {2.1, 1.22}, {2.3, 1.30}, {2.5, 1.38}, {2.7, 1.43}, {2.9, 1.49}};

TEST(ProcessModel, OrdinarySilverFollowsTheTracedIronDevelopedPlate) {
  const ProcessParameters process;
  constexpr double kHowClose = 0.06;  // four numbers cannot follow a traced line closer
  for (const Traced& point : kTraced)
    EXPECT_NEAR(image_silver_tau(process, point.log_exposure, 1.0), point.density, kHowClose)
        << "at log exposure " << point.log_exposure;
}

TEST(ProcessModel, MoreLightAndMoreTimeNeverGiveLessSilver) {
  for (PlateKind kind : kKinds) {
    const ProcessParameters process = ordinary_process(kind);
    for (double x = -1.0; x < 4.0; x += 0.1) {
      EXPECT_GE(image_silver_tau(process, x + 0.1, 1.0), image_silver_tau(process, x, 1.0));
      EXPECT_GE(image_silver_tau(process, x, 1.3), image_silver_tau(process, x, 1.0));
    }
    EXPECT_EQ(image_silver_tau(process, 2.0, process.onset), 0.0);
    EXPECT_GT(chemical_fog(process, 1.5), chemical_fog(process, 1.0));
  }
}

TEST(ProcessModel, NothingGrowsAfterTheOnsetWhenSoAsked) {
  ProcessParameters process;
  process.growth_after_onset = 0.0;
  EXPECT_DOUBLE_EQ(image_silver_tau(process, 1.5, 1.0), image_silver_tau(process, 1.5, 2.0));
}

TEST(ProcessModel, SilverAndTauUndoEachOther) {
  for (PlateKind kind : kKinds) {
    const ProcessParameters process = ordinary_process(kind);
    for (double tau : {0.001, 0.02, 0.2, 0.7, 1.2})
      EXPECT_NEAR(tau_of_silver(process, silver_of_tau(process, tau)), tau, 1e-9);
  }
}

TEST(ProcessModel, SilverLightensPositivesAndDarkensNegatives) {
  for (PlateKind kind : kKinds) {
    const ProcessParameters process = ordinary_process(kind);
    EXPECT_NEAR(density_of_tau(process, 0.0), process.support_density, 1e-12);
    const double change = density_of_tau(process, 0.5) - process.support_density;
    EXPECT_EQ(change < 0.0, is_positive(kind));
  }
}

// Aim of the contract: highlight at 90% of the largest net density; for tintypes this must land in the
// handbook's 0.40-0.60 (process.md 5a-bis, PRACTICE).
TEST(ProcessModel, TheRightHighlightIsWhereTheHandbookWantsIt) {
  const ProcessParameters tintype = ordinary_process(PlateKind::tintype);
  const double highlight = plate_density(tintype, right_highlight_log_exposure(tintype), 1.0);
  EXPECT_NEAR(tintype.support_density - highlight, 0.9 * largest_net_density(tintype), 1e-6);
  EXPECT_GT(highlight, 0.40);
  EXPECT_LT(highlight, 0.60);
  EXPECT_DOUBLE_EQ(chemical_fog(tintype, 1.0), 0.06);  // the contract's limit of right development
}

TEST(DeviceModel, TheProfileUndoesTheCode) {
  // IEC 61966-2-1 (table in reference/srgb_codes_256.csv): code 128 is light 0.2158605.
  EXPECT_NEAR(profile_light(ToneCurve::srgb, 128.0 / 255.0), 0.2158605, 1e-7);
  for (ToneCurve curve : {ToneCurve::srgb, ToneCurve::gamma_22, ToneCurve::linear}) {
    DeviceModel device;
    device.curve = curve;
    for (double light : {0.0, 0.001, 0.05, 0.4, 1.0})
      EXPECT_NEAR(profile_light(curve, device_code(device, light)), light, 1e-9);
  }
}

TEST(DeviceModel, DenserIsDarker) {
  DeviceModel device;
  device.curve_error = 0.05;
  for (double density = 0.0; density < 3.0; density += 0.05)
    EXPECT_GT(device_signal(device, density), device_signal(device, density + 0.05));
}

}  // namespace
}  // namespace platewise
