#include "platewise/stats/least_squares.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "published/published.h"

namespace platewise {
namespace {

using Eigen::VectorXd;
using published::Numbers;

VectorXd vector(const Numbers& values) {
  return Eigen::Map<const VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

// Matching decimal digits, the measure the StRD archive recommends.
double digits(double value, double certified) {
  if (value == certified) return 15.0;
  return std::min(15.0, -std::log10(std::abs(value - certified) / std::abs(certified)));
}

double least_digits(const VectorXd& values, const Numbers& certified) {
  double least = 15.0;
  for (std::size_t i = 0; i < certified.size(); ++i) {
    least = std::min(least, digits(values(static_cast<Eigen::Index>(i)), certified[i]));
  }
  return least;
}

VectorXd standard_errors(const Fit& fit) {
  return (fit.unit_covariance.diagonal() * fit.residual_variance()).cwiseSqrt();
}

struct LinearSet {
  const char* name;
  double parameter_digits;
  double error_digits;
};
class NistLinear : public testing::TestWithParam<LinearSet> {};

TEST_P(NistLinear, ReachesTheCertifiedValues) {
  const auto set = published::json("nist_linear.json")["datasets"][GetParam().name];
  const Numbers certified = set["certified"];
  const VectorXd y = vector(set["y"]);
  Eigen::MatrixXd design = Eigen::MatrixXd::Ones(y.size(), static_cast<Eigen::Index>(certified.size()));
  for (Eigen::Index row = 0; row < y.size(); ++row) {
    for (Eigen::Index column = 1; column < design.cols(); ++column) {
      design(row, column) = set.contains("x_rows") ? set["x_rows"][row][column - 1].get<double>()
                                                   : std::pow(set["x"][row].get<double>(), column);
    }
  }
  const auto fit = linear_fit(design, y);
  ASSERT_TRUE(fit.has_value());
  const double reached = least_digits(fit->parameters, certified);
  const double errors = least_digits(standard_errors(*fit), set["sd"]);
  RecordProperty("parameter_digits", std::to_string(reached));
  EXPECT_GE(reached, GetParam().parameter_digits);
  EXPECT_GE(errors, GetParam().error_digits) << reached;
}
// NIST StRD, linear archive (nist_linear.json). Digits asked: what its header expects of double precision.
INSTANTIATE_TEST_SUITE_P(Archive, NistLinear,
                         testing::Values(LinearSet{"Norris", 9, 9}, LinearSet{"Pontius", 9, 9},
                                         LinearSet{"Longley", 7, 7}, LinearSet{"Filip", 6, 6}),
                         [](const auto& row) { return std::string(row.param.name); });

using Model = double (*)(const VectorXd& b, double x);
const std::map<std::string, Model>& models() {
  static const std::map<std::string, Model> table{
      {"Rat42", [](const VectorXd& b, double x) { return b(0) / (1 + std::exp(b(1) - b(2) * x)); }},
      {"Rat43",
       [](const VectorXd& b, double x) { return b(0) / std::pow(1 + std::exp(b(1) - b(2) * x), 1 / b(3)); }},
      {"Thurber",
       [](const VectorXd& b, double x) {
         return (b(0) + x * (b(1) + x * (b(2) + x * b(3)))) / (1 + x * (b(4) + x * (b(5) + x * b(6))));
       }},
      {"Hahn1",
       [](const VectorXd& b, double x) {
         return (b(0) + x * (b(1) + x * (b(2) + x * b(3)))) / (1 + x * (b(4) + x * (b(5) + x * b(6))));
       }},
      {"MGH09",
       [](const VectorXd& b, double x) { return b(0) * (x * x + x * b(1)) / (x * x + x * b(2) + b(3)); }},
      {"BoxBOD", [](const VectorXd& b, double x) { return b(0) * (1 - std::exp(-b(1) * x)); }},
      {"Misra1a", [](const VectorXd& b, double x) { return b(0) * (1 - std::exp(-b(1) * x)); }},
      {"Chwirut1", [](const VectorXd& b, double x) { return std::exp(-b(0) * x) / (b(1) + b(2) * x); }},
      {"Chwirut2", [](const VectorXd& b, double x) { return std::exp(-b(0) * x) / (b(1) + b(2) * x); }},
      {"MGH17", [](const VectorXd& b,
                   double x) { return b(0) + b(1) * std::exp(-b(3) * x) + b(2) * std::exp(-b(4) * x); }},
      {"Kirby2", [](const VectorXd& b,
                    double x) { return (b(0) + x * (b(1) + x * b(2))) / (1 + x * (b(3) + x * b(4))); }},
  };
  return table;
}

struct NonlinearSet {
  const char* file;
  const char* name;
  const char* start;
  double parameter_digits;
};
class NistNonlinear : public testing::TestWithParam<NonlinearSet> {};

TEST_P(NistNonlinear, ReachesTheCertifiedValues) {
  const auto set = published::json(GetParam().file)["datasets"][GetParam().name];
  const Numbers x = set["x"];
  const VectorXd y = vector(set["y"]);
  const Model model = models().at(GetParam().name);
  const Residuals residuals = [&](const VectorXd& b) {
    VectorXd r(y.size());
    for (Eigen::Index i = 0; i < y.size(); ++i) r(i) = y(i) - model(b, x[static_cast<std::size_t>(i)]);
    return r;
  };
  const Fit fit = nonlinear_fit(residuals, vector(set[GetParam().start]));
  ASSERT_TRUE(fit.converged);
  const double reached = least_digits(fit.parameters, set["certified"]);
  RecordProperty("parameter_digits", std::to_string(reached));
  EXPECT_GE(reached, GetParam().parameter_digits) << fit.parameters.transpose();
  EXPECT_GE(digits(fit.sum_of_squares, set["rss"]), 8.0);
  EXPECT_GE(least_digits(standard_errors(fit), set["sd"]), 4.0);
}
// NIST StRD, nonlinear archive. Digits asked: 6 from the second start, 4 from the first (the files' headers).
constexpr const char* kFirst = "nist_nonlinear.json";
constexpr const char* kMore = "nist_nonlinear_more.json";
INSTANTIATE_TEST_SUITE_P(
    Archive, NistNonlinear,
    testing::Values(NonlinearSet{kFirst, "Rat42", "start1", 6}, NonlinearSet{kFirst, "Rat42", "start2", 6},
                    NonlinearSet{kFirst, "Rat43", "start1", 6}, NonlinearSet{kFirst, "Rat43", "start2", 6},
                    NonlinearSet{kFirst, "Thurber", "start1", 6},
                    NonlinearSet{kFirst, "Thurber", "start2", 6}, NonlinearSet{kFirst, "MGH09", "start1", 4},
                    NonlinearSet{kFirst, "MGH09", "start2", 6}, NonlinearSet{kFirst, "Hahn1", "start1", 6},
                    NonlinearSet{kFirst, "Hahn1", "start2", 6}, NonlinearSet{kFirst, "BoxBOD", "start1", 4},
                    NonlinearSet{kFirst, "BoxBOD", "start2", 6}, NonlinearSet{kFirst, "Misra1a", "start1", 6},
                    NonlinearSet{kFirst, "Misra1a", "start2", 6},
                    NonlinearSet{kMore, "Chwirut1", "start1", 6},
                    NonlinearSet{kMore, "Chwirut1", "start2", 6},
                    NonlinearSet{kMore, "Chwirut2", "start1", 6},
                    NonlinearSet{kMore, "Chwirut2", "start2", 6}, NonlinearSet{kMore, "MGH17", "start2", 6},
                    NonlinearSet{kMore, "Kirby2", "start1", 6}, NonlinearSet{kMore, "Kirby2", "start2", 6}),
    [](const auto& row) { return std::string(row.param.name) + "From" + row.param.start; });

TEST(LinearFit, RefusesDependentColumns) {
  Eigen::MatrixXd design(5, 2);
  design << 1, 2, 2, 4, 3, 6, 4, 8, 5, 10;
  EXPECT_FALSE(linear_fit(design, VectorXd::Ones(5)).has_value());
}

}  // namespace
}  // namespace platewise
