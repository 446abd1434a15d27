#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "platewise/pipeline/plate_score.h"

// Scored plates made up by hand, so that what the report shows does not hang on what the detectors find: an
// invented scene of discs with grain on it, and every result filled in.
namespace platewise {

struct SamplePlate {
  std::string file_name = "plate-1.tif";
  std::string note;
  PlateKind kind = PlateKind::tintype;
  std::uint64_t seed = 1;     // of the grain; the scene is the same
  double lighter = 0.0;       // density less everywhere: more light
  double shift_mm = 0.0;      // the camera was moved
  std::size_t comets = 3;     // shown one by one
  std::size_t pinholes = 40;  // shown as a group
  std::size_t dust_specks = 0;
  bool curves = true;
  int long_side_px = 1270;
};

[[nodiscard]] PlateScore sample_plate(const SamplePlate& sample);

// Plates of one scene in order, each a little lighter and moved a little; the last is veiled.
[[nodiscard]] std::vector<PlateScore> sample_series(std::size_t plates, int long_side_px = 700);

}  // namespace platewise
