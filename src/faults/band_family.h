#pragma once

#include <optional>
#include <vector>

#include "band_field.h"

namespace platewise {

// A part of the plate through which bands of one direction run: a rectangle along and across them. `along`
// and `across` are measured from the plate's corner, in units.
struct BandFamily {
  int direction = 0;
  double along_from = 0.0;
  double along_to = 0.0;
  double across_from = 0.0;
  double across_to = 0.0;
  double period_units = 0.0;
  double strength = 0.0;   // mean amplitude of the bands, silver
  long places = 0;         // in the clearest part, those that count as independent
  long preferring = 0;     // of them, those that prefer the direction
  double by_chance = 0.0;  // probability that one does without any bands on the film
  double log10_nfa = 0.0;

  [[nodiscard]] Point place(double along, double across) const;  // on the plate, units
};

// The rectangle in which the places prefer one of these directions most beyond chance; places of one band
// width or of neighbouring widths together. Chance is binomial: each place prefers a direction with the
// probability 1/9 that noise gives (three of 24 directions, clear ones), or with the share of places that
// prefer it elsewhere on the plate, or its mirror image anywhere (roofs, nets and boughs lean both ways),
// whichever is greatest. Neighbouring places are not quite independent: three count as one.
// Empty when no rectangle is large and clear enough.
[[nodiscard]] std::optional<BandFamily> strongest_family(const std::vector<BandField>& fields,
                                                         const std::vector<int>& directions);

// Weighs the family against the finest detail in the same rectangle, which is the picture's: film flows in
// smooth bands, but lines, edges and strokes of the picture are drawn in the same direction down to the
// finest. A place then prefers the direction by chance as often as the finest detail does there.
void judge_by_picture(BandFamily& family, const BandField& finest);

}  // namespace platewise
