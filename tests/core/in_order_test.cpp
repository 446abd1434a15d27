#include "platewise/core/in_order.h"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <stdexcept>

namespace platewise {
namespace {

class InOrder : public ::testing::TestWithParam<std::size_t> {};

TEST_P(InOrder, TakesEveryResultOnceAndInOrderWhoeverIsReadyFirst) {
  std::vector<std::size_t> taken;
  in_order(
      40, GetParam(),
      [](std::size_t i) {
        std::this_thread::sleep_for(std::chrono::microseconds((i * 7919) % 500));
        return i * i;
      },
      [&](std::size_t result, std::size_t i) {
        EXPECT_EQ(result, i * i);
        taken.push_back(i);
      });
  ASSERT_EQ(taken.size(), 40u);
  for (std::size_t i = 0; i < taken.size(); ++i) EXPECT_EQ(taken[i], i);
}

TEST_P(InOrder, KeepsOnlyAFewResultsWaiting) {
  std::atomic<int> waiting = 0;
  std::atomic<int> most = 0;
  in_order(
      60, GetParam(),
      [&](std::size_t i) {
        const int now = ++waiting;
        int seen = most;
        while (now > seen && !most.compare_exchange_weak(seen, now)) {
        }
        return i;
      },
      [&](std::size_t, std::size_t) { --waiting; });
  EXPECT_LE(most, static_cast<int>(2 * GetParam() + 1));
}

TEST_P(InOrder, ThrowsOnTheCallingThreadInItsTurn) {
  std::size_t taken = 0;
  const auto run = [&] {
    in_order(
        20, GetParam(),
        [](std::size_t i) {
          if (i == 7) throw std::runtime_error("seven");
          return i;
        },
        [&](std::size_t, std::size_t) { ++taken; });
  };
  EXPECT_THROW(run(), std::runtime_error);
  EXPECT_EQ(taken, 7u);
}

TEST_P(InOrder, EndsWhenTheTakerThrows) {
  const auto run = [&] {
    in_order(
        20, GetParam(), [](std::size_t i) { return i; },
        [](std::size_t, std::size_t i) {
          if (i == 3) throw std::runtime_error("enough");
        });
  };
  EXPECT_THROW(run(), std::runtime_error);
}

TEST_P(InOrder, HasNothingToDoForNothing) {
  in_order(
      0, GetParam(), [](std::size_t i) { return i; }, [](std::size_t, std::size_t) { FAIL(); });
}

INSTANTIATE_TEST_SUITE_P(Workers, InOrder, ::testing::Values(1u, 2u, 5u));

}  // namespace
}  // namespace platewise
