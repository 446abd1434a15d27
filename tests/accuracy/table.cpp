#include "accuracy/table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace platewise::accuracy {

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const std::size_t above = std::min(below + 1, values.size() - 1);
  return values[below] + (at - static_cast<double>(below)) * (values[above] - values[below]);
}

void Errors::add(double truth, const std::optional<Quantity>& measured) {
  ++truths_;
  if (!measured) return;
  errors_.push_back(measured->value - truth);
  us_.push_back(measured->u);
}

double Errors::bias() const {
  return std::accumulate(errors_.begin(), errors_.end(), 0.0) / static_cast<double>(errors_.size());
}

double Errors::rms() const {
  const double squares = std::inner_product(errors_.begin(), errors_.end(), errors_.begin(), 0.0);
  return std::sqrt(squares / static_cast<double>(errors_.size()));
}

double Errors::median_size() const {
  std::vector<double> sizes;
  for (const double error : errors_) sizes.push_back(std::abs(error));
  return quantile(sizes, 0.5);
}

double Errors::median_u() const {
  return quantile(us_, 0.5);
}

double Errors::coverage() const {
  int covered = 0;
  for (std::size_t i = 0; i < errors_.size(); ++i) covered += std::abs(errors_[i]) <= 2.0 * us_[i] ? 1 : 0;
  return covered / static_cast<double>(errors_.size());
}

void Errors::print_head(std::ostream& out, const std::string& title) {
  out << fmt::format("\n{}\n  {:<28}{:>5}{:>10}{:>9}{:>9}{:>9}{:>9}{:>9}{:>8}{:>8}\n", title, "density", "n",
                     "measured", "bias", "rms", "med|e|", "p95|e|", "med u", "u/rms", "in 2u");
}

void Errors::print(std::ostream& out, const std::string& name) const {
  if (errors_.empty()) {
    out << fmt::format("  {:<28}{:>5}{:>9.0f}%\n", name, truths_, 0.0);
    return;
  }
  std::vector<double> sizes;
  for (const double error : errors_) sizes.push_back(std::abs(error));
  out << fmt::format("  {:<28}{:>5}{:>9.0f}%{:>+9.3f}{:>9.3f}{:>9.3f}{:>9.3f}{:>9.3f}{:>8.2f}{:>7.0f}%\n",
                     name, truths_, 100.0 * measured() / std::max(1, truths_), bias(), rms(),
                     quantile(sizes, 0.5), quantile(sizes, 0.95), median_u(), median_u() / rms(),
                     100.0 * coverage());
}

void print_share(std::ostream& out, const std::string& name, int part, int whole) {
  out << fmt::format("  {:<62}{:>4} of {:>4}  {:>5.1f}%\n", name, part, whole,
                     whole > 0 ? 100.0 * part / whole : 0.0);
}

}  // namespace platewise::accuracy
