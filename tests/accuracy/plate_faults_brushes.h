#pragma once

#include "accuracy/plate_faults.h"

// One brush for each fault, drawn from the descriptions of the trade's fault table (look, size, tone, where,
// orientation) and from nothing in the project's own renderer.
namespace platewise::heldout::brush {

// Film gone or marked in small places (plate_faults_film.cpp, plate_faults_small.cpp).
[[nodiscard]] Stroke uncovered_corner(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke tear_hole(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke frilling(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke scratches(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke pinholes(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke dust(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke comets(Random& random, const Canvas& canvas);

// How the collodion flowed and set (plate_faults_flow.cpp).
[[nodiscard]] Stroke pour_ridges(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke uneven_film(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke crapy_lines(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke dry_edge(Random& random, const Canvas& canvas);

// Bath and developer (plate_faults_bath.cpp).
[[nodiscard]] Stroke dip_streaks(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke bath_halt_line(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke stall_line(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke curtain_marks(Random& random, const Canvas& canvas);

// Light and stains from the holder and the hand (plate_faults_stain.cpp).
[[nodiscard]] Stroke light_leak(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke oyster_stain(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke edge_stain(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke fingerprint(Random& random, const Canvas& canvas);
[[nodiscard]] Stroke veil(Random& random, const Canvas& canvas);

}  // namespace platewise::heldout::brush
