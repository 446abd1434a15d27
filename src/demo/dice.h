#pragma once

#include <cstdint>

namespace platewise {

// Random numbers that are the same on every machine: PCG32 (O'Neill 2014) with own distributions, because
// those of the standard library differ from one to the next.
class Dice {
 public:
  explicit Dice(std::uint64_t seed, std::uint64_t stream = 0);

  std::uint32_t bits();
  double uniform();                         // [0, 1)
  double uniform(double low, double high);  // [low, high)
  double normal();                          // mean 0, sigma 1
  double log_uniform(double low, double high);
  int whole(int low, int high);  // low..high, both included
  bool chance(double probability);

  // An independent generator for one part of the drawing, so that adding a detail there moves nothing else.
  [[nodiscard]] Dice part(std::uint64_t name) const;

 private:
  std::uint64_t state_ = 0;
  std::uint64_t increment_ = 1;
  std::uint64_t seed_ = 0;
};

}  // namespace platewise
