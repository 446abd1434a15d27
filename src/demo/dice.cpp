#include "dice.h"

#include <cmath>
#include <numbers>

namespace platewise {
namespace {

// SplitMix64 (Steele, Lea, Flood 2014): spreads small seeds over all bits.
std::uint64_t spread(std::uint64_t value) {
  value += 0x9e3779b97f4a7c15ULL;
  value = (value ^ (value >> 30)) * 0xbf58476d1ce4e5b9ULL;
  value = (value ^ (value >> 27)) * 0x94d049bb133111ebULL;
  return value ^ (value >> 31);
}

}  // namespace

Dice::Dice(std::uint64_t seed, std::uint64_t stream)
    : increment_((spread(stream) << 1) | 1U), seed_(spread(seed ^ spread(stream + 17))) {
  bits();
  state_ += seed_;
  bits();
}

std::uint32_t Dice::bits() {
  const std::uint64_t old = state_;
  state_ = old * 6364136223846793005ULL + increment_;
  const auto shifted = static_cast<std::uint32_t>(((old >> 18U) ^ old) >> 27U);
  const auto turn = static_cast<std::uint32_t>(old >> 59U);
  return (shifted >> turn) | (shifted << ((32U - turn) & 31U));
}

double Dice::uniform() {
  return static_cast<double>(bits()) * 0x1p-32;
}

double Dice::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

double Dice::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  const double radius = std::sqrt(-2.0 * std::log(uniform() + 0x1p-33));
  const double turn = 2.0 * std::numbers::pi * uniform();
  spare_ = radius * std::sin(turn);
  has_spare_ = true;
  return radius * std::cos(turn);
}

double Dice::log_uniform(double low, double high) {
  return low * std::exp(uniform() * std::log(high / low));
}

int Dice::whole(int low, int high) {
  return low + static_cast<int>(uniform() * (high - low + 1));
}

bool Dice::chance(double probability) {
  return uniform() < probability;
}

Dice Dice::part(std::uint64_t name) const {
  return Dice(seed_, name + 1);
}

}  // namespace platewise
