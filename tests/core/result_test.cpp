#include "platewise/core/result.h"

#include <gtest/gtest.h>

#include <cmath>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"

namespace platewise {
namespace {

TEST(Problem, IsOneLineWhateverTheFileIsCalled) {
  const Problem problem{"a\nb.tif", "is empty", "scan it again"};
  EXPECT_EQ(problem.message(), "a\\nb.tif: is empty (scan it again)");
}

TEST(Quantity, IndependentUncertaintiesAddInSquares) {
  EXPECT_EQ((Quantity{1.0, 0.3} - Quantity{0.25, 0.4}), (Quantity{0.75, 0.5}));
  const Quantity mean = combined({1.0, 0.1}, {2.0, 0.1});
  EXPECT_DOUBLE_EQ(mean.value, 1.5);
  EXPECT_NEAR(mean.u, 0.1 / std::sqrt(2.0), 1e-12);
}

TEST(Names, MapBothWays) {
  for (const std::string_view name : Names<PlateKind>::all) {
    const auto kind = from_name<PlateKind>(name);
    ASSERT_TRUE(kind.has_value());
    EXPECT_EQ(name_of(*kind), name);
  }
  EXPECT_FALSE(from_name<PlateKind>("daguerreotype").has_value());
}

}  // namespace
}  // namespace platewise
