#include "killed_writers.h"

#include <gtest/gtest.h>
#include <unistd.h>

namespace platewise {
namespace {

TEST(Logbook, WhatWasSaidToBeWrittenOutlivesAKill) {
  const auto folder =
      std::filesystem::temp_directory_path() / ("platewise_kill_test_" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  // Slow machines may be killed before a first plate: rounds are added until some were written.
  trial::KilledWriters result;
  for (int i = 0; i < 20 && result.acknowledged == 0; ++i) {
    result = trial::kill_writers(folder / ("plates" + std::to_string(i) + ".log"), 5);
    EXPECT_EQ(result.lost, 0);
    EXPECT_TRUE(result.whole);
  }
  EXPECT_GT(result.acknowledged, 0);
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace platewise
