#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// One place of the picture and the way smooth bands of one width run through it.
struct BandCell {
  Point at_units;
  int direction =
      0;  // of kBandDirections over half a turn; 0 runs along the rows, growing clockwise on the screen
  double strength = 0.0;  // amplitude of the bands there, silver
  double clearness =
      0.0;  // over the middle of the amplitudes in all directions; 1 = no direction is preferred
};

constexpr int kBandDirections = 24;

// Which way the tones run in bands of about one period, on a net of places so far apart that what one shows
// says little of the next: at each place the direction of the strongest of 24 oriented waves (D. Gabor, J.
// IEE 93(III), 1946; from memory), each 1.2 periods long and half a period wide (one sigma). What rises or
// falls much more than is usual round a place is held down first, so that weak bands are seen that go on
// across the picture's edges.
struct BandField {
  double period_units = 0.0;
  double step_units = 0.0;  // between the places
  std::vector<BandCell> cells;
};

[[nodiscard]] BandField band_field(const Evidence& evidence, double period_units);

// rad, of a direction as in BandCell.
[[nodiscard]] double band_angle(int direction);

}  // namespace platewise
