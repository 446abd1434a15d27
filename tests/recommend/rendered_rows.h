#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "platewise/demo/plate_options.h"
#include "platewise/demo/truth.h"
#include "platewise/recommend/recommend.h"

namespace platewise::trade {

// The trade's decision tables (handbook, process.md 5a positives, 5b negatives) as plates to be rendered.

enum class Way { less, keep, more, any };

// How the plate of a row is made. Stops and shares of the right time are ours: the tables give looks, not
// settings. The over-exposed plates got two stops too much, since with less their shadows are not yet filled
// as the rows say; `shows_its_shadows` holds each plate against its row.
struct Making {
  double error_stops = 0.0;
  double development = 1.0;  // time over the right time
  double chemical_fog = 0.0;
  SceneKind scene = SceneKind::portrait_dark;
  bool light_leak = false;
  double flare = 0.006;         // share of the mean light
  double light_contrast = 1.0;  // flat light below
};
// What of a row the program does not give; the rest of it is held all the same, and the mark has to go once
// it does.
struct KnownWrong {
  bool word = false;
  bool exposure = false;
  bool development = false;
  const char* instead = "";  // what it does, and why
};
struct Row {
  const char* code;
  PlateKind kind;
  Making making;
  std::vector<Diagnosis> words;  // all that section 5c allows where one picture cannot tell them apart
  Way exposure;
  Way development;
  const char* beside = nullptr;  // words that have to stand among the alternatives
  KnownWrong wrong = {};
};
[[nodiscard]] const std::vector<Row>& rows();

// Variation 0 is the test's own picture; others differ in seed, scene, process, device and medium.
struct RowPlate {
  PlateOptions options;
  bool with_device = true;
};
[[nodiscard]] RowPlate plate_of(const Row& row, int variation);
[[nodiscard]] bool shows_its_shadows(const Row& row, const PlateTruth& truth);
[[nodiscard]] PlateSettings settings_of(const Row& row);

// Which parts of the row the advice gives.
struct Held {
  bool word = false;
  bool exposure = false;
  bool development = false;
};
[[nodiscard]] Held held_by(const Row& row, const Recommendation& advice);

}  // namespace platewise::trade
