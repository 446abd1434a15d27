#pragma once

#include <filesystem>

#include "platewise/density/to_density.h"
#include "platewise/faults/find_faults.h"
#include "platewise/locate/locate_plate.h"
#include "platewise/pipeline/plate_score.h"
#include "platewise/read/read_scan.h"

namespace platewise {

// What the user said about one scan.
struct ScoreOptions {
  PlateKind kind = PlateKind::tintype;
  std::optional<Light> light;  // default: a negative is transmitted, the others reflected
  Backing backing = Backing::black;
  PlateState state = PlateState::varnished;
  ReadOptions read;
  LocateOptions locate;
  std::optional<DeviceCurve> device;
  std::optional<std::filesystem::path> flat;
  std::optional<std::filesystem::path> reference;  // a scan of another plate of the same scene
  std::vector<PlateCurve> curves;
  PlateSettings settings;
  std::string note;
  Handling handling;
  std::optional<SubjectBox> subject_mm;  // the part that matters
  bool look_for_faults = true;           // without: as far as the tones, for benchmarks
};

// Reads and scores one plate: the one place that knows the order of the stages.
[[nodiscard]] Result<PlateScore> score_plate(const std::filesystem::path& path, const ScoreOptions& options);

// The same from a scan already read.
[[nodiscard]] Result<PlateScore> score_plate(Scan scan, const ScoreOptions& options);

// Advice, marks and cautions once more, now with the plates made before it (oldest first) and its settings as
// they stand in `score`. Nothing changes on a plate without tones.
void judge_in_series(PlateScore& score, const std::vector<EarlierPlate>& earlier);

}  // namespace platewise
