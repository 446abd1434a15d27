#pragma once

#include "accuracy/plate_drawing.h"
#include "accuracy/random.h"

namespace platewise::heldout {

// Dust, hairs, pinholes, scratches and flakes on the drawn plate's light: dozens to hundreds. The drawing's
// density stays what it was without them. With `mark_specks` each is listed among the drawing's marks, as
// dust, pinhole, tear or scratch by what it is and how large.
void add_specks(Random& random, PlateDrawing& drawing);

}  // namespace platewise::heldout
