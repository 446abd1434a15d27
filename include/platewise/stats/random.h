#pragma once

#include <cstdint>

namespace platewise {

// Random numbers that are the same on every machine and compiler for the same seed (the standard
// library's distributions are not). Generator: SplitMix64 (Steele, Lea & Flood 2014).
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  [[nodiscard]] std::uint64_t bits();
  [[nodiscard]] double uniform();                                         // [0, 1)
  [[nodiscard]] double uniform(double low, double high);                  // [low, high)
  [[nodiscard]] std::int64_t whole(std::int64_t low, std::int64_t high);  // both ends included
  [[nodiscard]] bool chance(double probability);
  [[nodiscard]] double normal();  // mean 0, sigma 1; Box & Muller 1958
  [[nodiscard]] double normal(double mean, double sigma);

  // A generator of its own for part `index`: parts can be drawn in any order or left out.
  [[nodiscard]] Random fork(std::uint64_t index) const;

 private:
  std::uint64_t state_;
};

// Point `index` (from 0) of the low-discrepancy sequence in a prime base, in (0, 1). Halton 1960.
[[nodiscard]] double halton(std::uint64_t index, std::uint32_t base);

}  // namespace platewise
