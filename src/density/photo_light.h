#pragma once

#include "platewise/density/plate_density.h"
#include "platewise/regions/regions.h"

namespace platewise {

// Takes out how light fell off across a photographed plate, as far as the covered rim shows it: the rim got
// no light from the scene and is even, so a plane through its densities is the lamp's doing. Needs three
// sides of rim that agree with a plane; else nothing changes and the plate keeps its wide place_u.
void even_out_photo_light(PlateDensity& plate, const Regions& regions);

}  // namespace platewise
