#include "accuracy/calibration/errors.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "platewise/stats/robust.h"

namespace platewise::simulated {

void Errors::add(Quantity measured, double truth, std::uint64_t seed) {
  all_.push_back({measured.value - truth, measured.u, seed});
}

double Errors::rms() const {
  double squares = 0.0;
  for (const One& one : all_) squares += one.error * one.error;
  return all_.empty() ? 0.0 : std::sqrt(squares / static_cast<double>(all_.size()));
}

double Errors::coverage() const {
  const auto inside = std::count_if(all_.begin(), all_.end(),
                                    [](const One& one) { return std::abs(one.error) <= 2.0 * one.u; });
  return all_.empty() ? 1.0 : static_cast<double>(inside) / static_cast<double>(all_.size());
}

void Errors::print(const std::string& name) const {
  if (all_.empty()) return;
  std::vector<double> errors;
  std::vector<double> stated;
  for (const One& one : all_) {
    errors.push_back(one.error);
    stated.push_back(one.u);
  }
  fmt::print("{:32} {:8.4f} {:12.4f} {:12.4f} {:10.1f} %\n", name, rms(), robust_sigma(errors),
             median(stated), 100.0 * coverage());
}

void Errors::print_farthest(const std::string& name) const {
  std::vector<One> far;
  std::copy_if(all_.begin(), all_.end(), std::back_inserter(far),
               [](const One& one) { return std::abs(one.error) > 3.0 * one.u; });
  std::sort(far.begin(), far.end(),
            [](const One& a, const One& b) { return std::abs(a.error) / a.u > std::abs(b.error) / b.u; });
  constexpr std::size_t kShown = 8;
  if (far.size() > kShown) far.resize(kShown);
  for (const One& one : far)
    fmt::print("  {} of seed {}: off by {:+.3f}, u {:.3f}\n", name, one.seed, one.error, one.u);
}

}  // namespace platewise::simulated
