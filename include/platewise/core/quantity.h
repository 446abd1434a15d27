#pragma once

#include <optional>

namespace platewise {

// A measured value and its standard uncertainty (one sigma), both in the unit the name says.
struct Quantity {
  double value = 0.0;
  double u = 0.0;

  friend bool operator==(const Quantity&, const Quantity&) = default;
};

// Sums and differences of independent quantities: the uncertainties add in squares.
[[nodiscard]] Quantity operator+(Quantity a, Quantity b);
[[nodiscard]] Quantity operator-(Quantity a, Quantity b);
[[nodiscard]] Quantity operator*(double factor, Quantity a);

// Adds an independent uncertainty to a quantity without moving it.
[[nodiscard]] Quantity widened(Quantity a, double u);

// Mean of independent estimates of one thing, weighted by 1/u^2. Asserts u > 0.
[[nodiscard]] Quantity combined(Quantity a, Quantity b);

}  // namespace platewise
