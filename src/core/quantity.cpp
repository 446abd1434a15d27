#include "platewise/core/quantity.h"

#include <cassert>
#include <cmath>

namespace platewise {

Quantity operator+(Quantity a, Quantity b) {
  return {a.value + b.value, std::hypot(a.u, b.u)};
}
Quantity operator-(Quantity a, Quantity b) {
  return {a.value - b.value, std::hypot(a.u, b.u)};
}
Quantity operator*(double factor, Quantity a) {
  return {factor * a.value, std::abs(factor) * a.u};
}
Quantity widened(Quantity a, double u) {
  return {a.value, std::hypot(a.u, u)};
}

Quantity combined(Quantity a, Quantity b) {
  assert(a.u > 0 && b.u > 0);
  const double weight_a = 1.0 / (a.u * a.u);
  const double weight_b = 1.0 / (b.u * b.u);
  const double weight = weight_a + weight_b;
  return {(weight_a * a.value + weight_b * b.value) / weight, 1.0 / std::sqrt(weight)};
}

}  // namespace platewise
