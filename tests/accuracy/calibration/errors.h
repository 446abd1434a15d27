#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "platewise/core/quantity.h"

namespace platewise::simulated {

// Errors of one quantity over all photographers, and how often twice the stated u holds them.
class Errors {
 public:
  void add(Quantity measured, double truth, std::uint64_t seed);
  void print(const std::string& name) const;
  // The seeds whose error is more than three stated u, farthest first.
  void print_farthest(const std::string& name) const;
  [[nodiscard]] double rms() const;
  [[nodiscard]] double coverage() const;  // share within 2 u; 1 without any

 private:
  struct One {
    double error = 0.0;
    double u = 0.0;
    std::uint64_t seed = 0;
  };
  std::vector<One> all_;
};

}  // namespace platewise::simulated
