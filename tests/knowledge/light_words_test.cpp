// What words in a note tell of the light (handbook, numbers.csv: exposure factors of Schriever c. 1909, par.
// 735-736, and exposures of present-day workers).
#include "platewise/knowledge/light_words.h"

#include <gtest/gtest.h>

#include <cmath>

namespace platewise {
namespace {

struct Row {
  const char* note;
  double factor;  // of the exposure in full sun
};

class LightWords : public testing::TestWithParam<Row> {};

TEST_P(LightWords, AreThePublishedFactor) {
  const auto light = noted_light(GetParam().note);
  ASSERT_TRUE(light);
  EXPECT_NEAR(light->stops.value, -std::log2(GetParam().factor), 0.05);
  EXPECT_GT(light->stops.u, 0.2);
}

INSTANTIATE_TEST_SUITE_P(Notes, LightWords,
                         testing::Values(Row{"Full sun; new collodion", 1.0}, Row{"some haze", 2.0},
                                         Row{"OVERCAST", 4.0}, Row{"sitter in the open  shade", 6.0},
                                         Row{"made near sunset", 7.0}));

TEST(LightWords, NothingIsMadeOfOtherWords) {
  for (const char* note : {"", "fresh bath, sunday", "sun came out while the cap was off", "overcasting",
                           "dull shadows", "no haze", "not overcast", "full sun, then overcast"})
    EXPECT_FALSE(noted_light(note)) << note;
}

}  // namespace
}  // namespace platewise
