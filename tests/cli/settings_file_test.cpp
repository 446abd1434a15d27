#include "settings_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace platewise::cli {
namespace {

using ::testing::HasSubstr;

TEST(SettingsList, FindsPlatesByPathOrByName) {
  const auto list = SettingsList::parse(
      "file,exposure_s,development_s,aperture,meter_ev,temperature_c,bellows,reciprocity,note,weather\n"
      "one.tif,10,1/2s,f/4,12,18.5,300/200mm,0.9,\"first, thin\",rain\n"
      "day/two.tif,,,,,,,,,\n",
      "list.csv");
  ASSERT_TRUE(list) << list.error().message();
  const NotedPlate* one = list->find("somewhere/one.tif");
  ASSERT_NE(one, nullptr);
  EXPECT_EQ(one->settings.exposure_s, 10.0);
  EXPECT_EQ(one->settings.development_s, 0.5);
  EXPECT_EQ(one->settings.aperture, 4.0);
  EXPECT_EQ(one->settings.meter_ev, 12.0);
  EXPECT_EQ(one->settings.temperature_c, 18.5);
  EXPECT_EQ(one->settings.bellows_ratio, 1.5);
  EXPECT_EQ(one->settings.schwarzschild_p, 0.9);
  EXPECT_EQ(one->note, "first, thin");
  const NotedPlate* two = list->find("day/two.tif");
  ASSERT_NE(two, nullptr);
  EXPECT_FALSE(two->settings.exposure_s);
  EXPECT_EQ(list->find("three.tif"), nullptr);
}

TEST(SettingsList, SaysWhatIsWrongInIt) {
  const std::pair<const char*, const char*> kBad[] = {
      {"exposure_s\n10\n", "no column \"file\""},
      {"file,exposure_s\na.tif,soon\n", "exposure_s of a.tif"},
      {"file,aperture\na.tif,f/0\n", "aperture of a.tif"},
      {"file,bellows\na.tif,0.2\n", "bellows of a.tif"},
      {"file,reciprocity\na.tif,1.4\n", "reciprocity of a.tif"},
      {"file\na.tif\na.tif\n", "names a.tif twice"},
      {"", "list.csv"}};
  for (const auto& [text, words] : kBad) {
    const auto list = SettingsList::parse(text, "list.csv");
    ASSERT_FALSE(list) << text;
    EXPECT_THAT(list.error().message(), HasSubstr(words)) << text;
  }
}

}  // namespace
}  // namespace platewise::cli
