#include "platewise/stats/control_chart.h"

#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <vector>

#include "published/published.h"

namespace platewise {
namespace {

// published/spc_examples.json names the source and status of each block.
const nlohmann::json& examples() {
  return published::json("spc_examples.json");
}

TEST(ControlChart, IndividualsLimitsAreThoseOfTheHandbook) {
  const auto block = examples()["individuals"];
  const auto x = block["x"].get<std::vector<double>>();
  const ChartLimits limits = individuals_limits(x);
  EXPECT_NEAR(limits.centre, block["mean"].get<double>(), 1e-9);
  EXPECT_NEAR(limits.upper(), block["UCL"].get<double>(), 1.5e-4);
  EXPECT_NEAR(limits.lower(), block["LCL"].get<double>(), 1.5e-4);
}

TEST(ControlChart, EwmaIsThatOfTheHandbook) {
  const auto block = examples()["ewma"];
  const auto x = block["x"].get<std::vector<double>>();
  const double lambda = block["lambda_"].get<double>();
  const auto z = ewma(x, lambda, block["start"].get<double>());
  const auto exact = block["exact"].get<std::vector<double>>();
  ASSERT_EQ(z.size(), exact.size());
  for (std::size_t i = 0; i < z.size(); ++i) EXPECT_NEAR(z[i], exact[i], 1e-9) << i;
  for (const auto& row : block["half_width_by_i"]) {
    EXPECT_NEAR(ewma_half_width(block["s"].get<double>(), lambda, 3.0, row[0].get<std::size_t>()),
                row[1].get<double>(), 1e-4);
  }
}

TEST(ControlChart, WesternElectricRulesFireWhereTheyShould) {
  for (const auto& sequence : examples()["western_electric"]["sequences"]) {
    const auto x = sequence["x"].get<std::vector<double>>();
    const auto signals = western_electric(x, {.centre = 0.0, .sigma = 1.0});
    std::map<std::string, std::size_t> first;
    for (const ChartSignal& signal : signals) first.emplace(std::to_string(signal.rule), signal.index + 1);
    for (const auto& [rule, index] : sequence["first_signal"].items()) {
      ASSERT_TRUE(first.contains(rule)) << sequence["name"];
      EXPECT_EQ(first[rule], index.get<std::size_t>()) << sequence["name"];
    }
    EXPECT_EQ(first.size(), sequence["first_signal"].size()) << sequence["name"];
  }
}

TEST(ControlChart, OneValueGivesNoLimitsAndNoSignals) {
  const std::vector<double> one{3.0};
  EXPECT_EQ(individuals_limits(one).sigma, 0.0);
  EXPECT_TRUE(western_electric(one, individuals_limits(one)).empty());
}

}  // namespace
}  // namespace platewise
