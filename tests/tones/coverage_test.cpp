// A stated uncertainty is a promise: over varied plates the truth lies within two of them about 95 times in
// 100, and they are not so wide that this says nothing.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "tones/rendered_plate.h"

namespace platewise {
namespace {

constexpr std::uint64_t kPlates = 12;
constexpr double kLeastCovered = 0.88;  // 95 % less what so few plates, each with several tones, scatter
constexpr double kLeastTypical = 0.15;  // median error over u; 0.67 where both are normal and u is right

PlateOptions small_varied_plate(std::uint64_t seed) {
  PlateOptions options;
  options.seed = seed;
  options.process = ordinary_process(seed % 3 == 2 ? PlateKind::negative : PlateKind::tintype);
  options.width_mm = 50.8;
  options.height_mm = 63.5;
  constexpr SceneKind kScenes[] = {SceneKind::landscape, SceneKind::portrait_dark, SceneKind::still_life,
                                   SceneKind::facade};
  options.scene = kScenes[seed % 4];
  options.exposure_error_stops = -1.0 + 0.5 * static_cast<double>(seed % 5);
  options.development_factor = 0.8 + 0.1 * static_cast<double>(seed % 6);
  options.film.edge = FilmEdge::bare_corners;
  options.surround_mm = 4.0;
  options.device.bits = seed % 2 == 0 ? 16 : 8;
  options.device.colour = false;
  options.device.curve = ToneCurve::gamma_22;
  options.device.gain = seed % 2 == 0 ? 0.9 : 0.5;
  return options;
}

// Errors of every tone that has a truth, in units of its stated u.
std::vector<double> errors_in_u(bool with_device) {
  std::vector<double> errors;
  for (std::uint64_t seed = 300; seed < 300 + kPlates; ++seed) {
    const PlateOptions options = small_varied_plate(seed);
    RenderedPlate plate = rendered(options, fmt::format("coverage-{}", seed));
    if (with_device) plate.device = true_device(options.device, plate.truth.light);
    const Tones tones = tones_of(plate);
    const PlateTruth& truth = plate.truth;
    const auto judge = [&](const std::optional<Quantity>& measured, double value) {
      if (measured) errors.push_back((measured->value - value) / measured->u);
    };
    judge(tones.support_density, truth.support_density);
    judge(tones.margin_density, *truth.margin_density);
    judge(tones.floor_density, truth.floor_density);
    judge(tones.midtone_density, truth.midtone_density);
    judge(tones.highlight_density, truth.highlight_density);
    judge(tones.range, std::abs(truth.highlight_density - truth.floor_density));
    judge(tones.fog, truth.fog);
  }
  return errors;
}

class Coverage : public ::testing::TestWithParam<bool> {};
INSTANTIATE_TEST_SUITE_P(Device, Coverage, ::testing::Bool(),
                         [](const auto& with) { return with.param ? "Calibrated" : "Uncalibrated"; });

TEST_P(Coverage, TwoUncertaintiesHoldTheTruthAsOftenAsPromised) {
  std::vector<double> errors = errors_in_u(GetParam());
  ASSERT_GT(errors.size(), 6 * kPlates);
  for (double& error : errors) error = std::abs(error);
  const auto covered = std::ranges::count_if(errors, [](double error) { return error <= 2.0; });
  EXPECT_GE(static_cast<double>(covered) / static_cast<double>(errors.size()), kLeastCovered);
  std::ranges::nth_element(errors, errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2));
  EXPECT_GE(errors[errors.size() / 2], kLeastTypical);
}

}  // namespace
}  // namespace platewise
