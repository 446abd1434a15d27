#include "platewise/stats/random.h"

#include <cassert>
#include <cmath>
#include <numbers>

namespace platewise {
namespace {

constexpr std::uint64_t kGolden = 0x9e3779b97f4a7c15ULL;

std::uint64_t mixed(std::uint64_t z) {
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

}  // namespace

std::uint64_t Random::bits() {
  state_ += kGolden;
  return mixed(state_);
}

double Random::uniform() {
  constexpr double kStep = 1.0 / 9007199254740992.0;  // 2^-53
  return static_cast<double>(bits() >> 11U) * kStep;
}

double Random::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

std::int64_t Random::whole(std::int64_t low, std::int64_t high) {
  assert(low <= high);
  return low + static_cast<std::int64_t>(std::floor(uniform() * static_cast<double>(high - low + 1)));
}

bool Random::chance(double probability) {
  return uniform() < probability;
}

double Random::normal() {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

double Random::normal(double mean, double sigma) {
  return mean + sigma * normal();
}

Random Random::fork(std::uint64_t index) const {
  return Random(mixed(state_ ^ mixed(index + kGolden)));
}

double halton(std::uint64_t index, std::uint32_t base) {
  double value = 0.0;
  double digit = 1.0;
  for (std::uint64_t rest = index + 1; rest > 0; rest /= base) {
    digit /= base;
    value += digit * static_cast<double>(rest % base);
  }
  return value;
}

}  // namespace platewise
