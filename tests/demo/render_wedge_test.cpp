#include "platewise/demo/render_wedge.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace platewise {
namespace {

double light_of(const WedgeRendering& rendering, const DeviceModel& device, const Quad& quad) {
  const double full = rendering.pixels.depth() == CV_8U ? 255.0 : 65535.0;
  cv::Mat values;
  rendering.pixels.convertTo(values, CV_64F, 1.0 / full);
  const Homography px_from_unit = target_from_source(rectangle(1.0, 1.0), quad);
  double sum = 0.0;
  int count = 0;
  for (double v = 0.3; v < 0.7; v += 0.02)
    for (double u = 0.3; u < 0.7; u += 0.02, ++count) {
      const Point px = px_from_unit({u, v});
      const auto* at =
          values.ptr<double>(static_cast<int>(px.y)) + static_cast<int>(px.x) * values.channels();
      sum += profile_light(device.curve, at[values.channels() == 3 ? 1 : 0]);
    }
  return sum / count;
}

TEST(RenderWedge, EachStepIsWhereTruthSaysAndAsBrightAsTheDeviceMakesIt) {
  for (double angle_deg : {0.5, 91.0, 180.0, 268.5}) {
    WedgeOptions options;
    options.steps = 11;
    options.angle_deg = angle_deg;
    options.dust = 0;
    options.device.local_flare = 0.0;
    options.device.bits = 16;
    options.device.warmth = 0.0;
    const WedgeRendering rendering = render_wedge(options);
    ASSERT_EQ(rendering.steps.size(), 11U);
    for (const DrawnStep& step : rendering.steps) {
      const double expected = device_signal(options.device, step.density);
      EXPECT_NEAR(light_of(rendering, options.device, step.corners_px), expected, 0.02 * expected + 0.0003)
          << "step " << step.number << " at " << angle_deg;
    }
  }
}

TEST(RenderWedge, TheListHasOneRowAStepAndRises) {
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    WedgeOptions options = varied_wedge(seed);
    options.px_per_mm = 3.0;
    const WedgeRendering rendering = render_wedge(options);
    EXPECT_GE(options.steps, 10);
    EXPECT_LE(options.steps, 41);
    EXPECT_EQ(std::count(rendering.wedge_csv.begin(), rendering.wedge_csv.end(), '\n'), options.steps + 1);
    EXPECT_TRUE(std::is_sorted(rendering.steps.begin(), rendering.steps.end(),
                               [](const DrawnStep& a, const DrawnStep& b) { return a.density < b.density; }));
  }
}

}  // namespace
}  // namespace platewise
