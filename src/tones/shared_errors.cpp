#include "shared_errors.h"

namespace platewise {

Quantity with_shared(Quantity reading, const PlateDensity& plate) {
  return widened(reading, u_at(plate.errors, reading.value));
}

Quantity difference(Quantity a, Quantity b, double sign, const PlateDensity& plate) {
  return widened(sign * (a - b), u_of_difference(plate.errors, a.value, b.value));
}

}  // namespace platewise
