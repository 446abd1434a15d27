// A positive looks a little lighter dry than wet, and varnish darkens it again and deepens its black (process
// table of the handbook, steps 14 and 15, common practice).
#include "platewise/tones/as_varnished.h"

#include <gtest/gtest.h>

namespace platewise {
namespace {

Tones measured() {
  Tones tones;
  tones.support_seen = true;
  tones.support_density = {1.30, 0.02};
  tones.floor_density = {1.20, 0.02};
  tones.fog = {0.10, 0.02};
  tones.highlight_density = {0.45, 0.03};
  tones.range = {0.75, 0.03};
  return tones;
}

TEST(AsVarnished, DarkensADryPositiveAsAWhole) {
  const Tones dry = measured();
  const Tones tones = as_varnished(dry, PlateKind::tintype, PlateState::dry);
  EXPECT_GT(tones.highlight_density->value, dry.highlight_density->value);
  EXPECT_GT(tones.highlight_density->u, dry.highlight_density->u);
  EXPECT_NEAR(tones.support_density->value - tones.floor_density->value,
              dry.support_density->value - dry.floor_density->value, 1e-12);
  EXPECT_EQ(tones.fog, dry.fog);
  EXPECT_EQ(tones.range, dry.range);
}

TEST(AsVarnished, LeavesTheAssumedSupportOfAVarnishedPlate) {
  Tones dry = measured();
  dry.support_seen = false;
  EXPECT_EQ(as_varnished(dry, PlateKind::tintype, PlateState::dry).support_density, dry.support_density);
}

TEST(AsVarnished, IsSurerOfAVarnishedPlateThanOfAWetOne) {
  const Tones tones = measured();
  EXPECT_EQ(as_varnished(tones, PlateKind::ambrotype, PlateState::varnished).highlight_density,
            tones.highlight_density);
  EXPECT_GT(as_varnished(tones, PlateKind::ambrotype, PlateState::wet).highlight_density->u,
            tones.highlight_density->u);
}

TEST(AsVarnished, SaysWhatItReckonsWith) {
  EXPECT_TRUE(varnish_remark(PlateKind::tintype, PlateState::dry));
  EXPECT_TRUE(varnish_remark(PlateKind::tintype, PlateState::wet));
  EXPECT_FALSE(varnish_remark(PlateKind::tintype, PlateState::varnished));
  EXPECT_FALSE(varnish_remark(PlateKind::negative, PlateState::dry));
}

TEST(AsVarnished, LeavesANegative) {
  const Tones tones = measured();
  EXPECT_EQ(as_varnished(tones, PlateKind::negative, PlateState::dry).highlight_density,
            tones.highlight_density);
}

}  // namespace
}  // namespace platewise
