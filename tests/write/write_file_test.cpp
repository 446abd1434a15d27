#include "platewise/write/write_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>
#include <sstream>

namespace platewise {
namespace {

namespace fs = std::filesystem;

class WriteFile : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_write_file_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  static std::string contents(const fs::path& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
  }

  fs::path folder_;
};

TEST_F(WriteFile, ReplacesAFileAndLeavesNothingBeside) {
  const fs::path path = folder_ / "plate \xff one.json";
  ASSERT_TRUE(write_file(path, "old"));
  ASSERT_TRUE(write_file(path, "new"));
  EXPECT_EQ(contents(path), "new");
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), {}), 1);
}

TEST_F(WriteFile, FollowsALink) {
  ASSERT_TRUE(write_file(folder_ / "real", "old"));
  fs::create_symlink("real", folder_ / "link");
  ASSERT_TRUE(write_file(folder_ / "link", "new"));
  EXPECT_TRUE(fs::is_symlink(folder_ / "link"));
  EXPECT_EQ(contents(folder_ / "real"), "new");
}

TEST_F(WriteFile, SaysWhyItCouldNot) {
  const auto no_folder = write_file(folder_ / "no" / "a.json", "x");
  ASSERT_FALSE(no_folder);
  EXPECT_THAT(no_folder.error().message(), ::testing::HasSubstr("its folder does not exist"));
  const auto a_folder = write_file(folder_, "x");
  ASSERT_FALSE(a_folder);
  EXPECT_THAT(a_folder.error().message(), ::testing::HasSubstr("it is a folder"));
  const auto full = write_file("/dev/full", "x");
  ASSERT_FALSE(full);
  EXPECT_THAT(full.error().message(), ::testing::HasSubstr("the disk is full"));
}

TEST_F(WriteFile, WritesToADeviceWithoutReplacingIt) {
  ASSERT_TRUE(write_file("/dev/null", "x"));
  EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

}  // namespace
}  // namespace platewise
