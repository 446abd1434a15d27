#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/density/plate_density.h"
#include "platewise/faults/faults.h"
#include "platewise/grade/grade.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/raster/image.h"
#include "platewise/read/scan.h"
#include "platewise/recommend/recommend.h"
#include "platewise/regions/regions.h"
#include "platewise/tones/tones.h"

namespace platewise {

// All results of one plate, in the order of the stages.
struct PlateScore {
  Scan scan;  // its image is released after scoring
  PlateKind kind = PlateKind::tintype;
  Light light = Light::reflected;
  PlateState state = PlateState::varnished;  // when it was scanned
  PlateSettings settings;
  std::vector<PlateCurve> curves;  // the photographer's own, if given
  std::string note;
  std::string asked_sha256;    // of the options of this run, for going on with it later; may be empty
  ColourPicture scan_picture;  // the whole scan, small, upright or not as it was stored; for overlays
  PlateOutline outline;
  std::optional<PlateDensity> density;  // the rectified picture, kept for overlays and the report
  std::optional<Regions> regions;
  std::optional<Tones> tones;
  Faults faults;
  std::optional<Grade> grade;
  std::optional<Recommendation> recommendation;
  std::vector<std::string> cautions;
  Warnings warnings;  // of all stages, each once
};

}  // namespace platewise
