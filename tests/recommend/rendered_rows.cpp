#include "rendered_rows.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace platewise::trade {
namespace {

using D = Diagnosis;
constexpr PlateKind kPositive = PlateKind::tintype;
constexpr PlateKind kNegative = PlateKind::negative;

// Everything about a plate that its row does not say.
PlateOptions ordinary_plate(PlateKind kind) {
  PlateOptions options;
  options.seed = 41;
  options.process = ordinary_process(kind);
  options.surround_mm = 4.0;
  options.scene_seed = 3;
  options.device.bits = 16;
  options.device.colour = false;
  options.device.curve = ToneCurve::gamma_22;
  options.device.gain = 0.9;
  return options;
}

PlateOptions other_plate(const Row& row, int variation) {
  constexpr std::array kMedia{Medium::black_bed, Medium::phone_photo, Medium::white_lid};
  const auto seed = static_cast<std::uint64_t>(5000 + variation);
  PlateOptions options =
      varied_plate(seed, row.kind, kMedia[static_cast<std::size_t>(variation) % kMedia.size()]);
  options.faults.clear();
  options.process.extra_fog = 0.0;
  return options;
}

SceneKind scene_of(const Row& row, int variation) {
  constexpr std::array kScenes{SceneKind::portrait_dark, SceneKind::still_life, SceneKind::portrait_light,
                               SceneKind::landscape, SceneKind::facade};
  if (variation == 0) return row.making.scene;
  return kScenes[static_cast<std::size_t>(variation) % kScenes.size()];
}

enum class Shadows { empty, detail, filled };
Shadows shadows_of(const Row& row) {
  if (row.making.error_stops > 1.0) return Shadows::filled;
  return row.making.error_stops < -0.5 ? Shadows::empty : Shadows::detail;
}

// A direction must be plain; keeping may be off by half a stop, or a step of development (handbook,
// numbers.csv: 15-25%).
bool goes(double change, Way way, double plain, double keeps_within) {
  if (way == Way::more) return change >= plain;
  if (way == Way::less) return change <= -plain;
  return way == Way::any || std::abs(change) <= keeps_within;
}

}  // namespace

const std::vector<Row>& rows() {
  // clang-format off
  static const std::vector<Row> table = {
      {"P0", kPositive, {0.0, 1.0}, {D::well_exposed}, Way::keep, Way::keep},
      {"P1", kPositive, {-1.5, 1.0}, {D::underexposed}, Way::more, Way::keep},
      {"P2", kPositive, {-1.5, 1.9}, {D::underexposed_overdeveloped}, Way::more, Way::less},
      {"P3", kPositive, {-1.5, 0.6}, {D::underexposed_underdeveloped}, Way::more, Way::more},
      {"P4", kPositive, {0.0, 0.6}, {D::underdeveloped}, Way::keep, Way::more},
      {"P5", kPositive, {0.0, 1.9}, {D::overdeveloped, D::fogged}, Way::keep, Way::less, nullptr,
       {.word = true, .instead =
       "takes it for under-exposed and over-developed (0.44 against 0.31); 0.002 D less fog would tip it"}},
      {"P6", kPositive, {2.0, 1.0}, {D::overexposed}, Way::less, Way::keep},
      {"P7", kPositive, {2.0, 0.6}, {D::overexposed_underdeveloped}, Way::less, Way::more},
      {"P8", kPositive, {2.3, 1.9}, {D::overexposed_overdeveloped}, Way::less, Way::less},
      {"P9", kPositive, {0.0, 1.0, 0.15}, {D::fogged, D::overdeveloped}, Way::keep, Way::less},
      {"P10leak", kPositive, {.light_leak = true}, {D::fogged}, Way::keep, Way::keep, nullptr,
       {.word = true, .instead = "the leak is not found on this plate, so its veil has no word"}},
      {"P10flare", kPositive, {.flare = 0.06}, {D::fogged, D::well_exposed}, Way::keep, Way::keep},
      {"P11", kPositive, {-0.7, 1.1, 0.0, SceneKind::landscape}, {D::underexposed}, Way::more, Way::any},
      {"P12", kPositive, {.light_contrast = 0.35}, {D::well_exposed}, Way::keep, Way::keep, "the light may be flat",
       {.word = true, .exposure = true, .instead = "takes open shadows for over-exposure and gives 0.85 stop less; no scene in its priors is so flat"}},
      {"N0", kNegative, {0.0, 1.0}, {D::well_exposed}, Way::keep, Way::keep},
      {"N1", kNegative, {-1.5, 1.0}, {D::underexposed}, Way::more, Way::keep},
      {"N2", kNegative, {-1.5, 1.9}, {D::underexposed_overdeveloped}, Way::more, Way::less},
      {"N3", kNegative, {0.0, 0.6}, {D::underdeveloped}, Way::keep, Way::more},
      {"N1thin", kNegative, {-1.5, 0.6}, {D::underexposed_underdeveloped}, Way::more, Way::more},
      {"N4N6", kNegative, {2.0, 1.9}, {D::overexposed_overdeveloped}, Way::less, Way::less},
      {"N4", kNegative, {2.0, 1.0}, {D::overexposed}, Way::less, Way::keep},
      {"N5", kNegative, {2.0, 0.6}, {D::overexposed_underdeveloped}, Way::less, Way::more},
      {"N6", kNegative, {0.0, 1.9}, {D::overdeveloped}, Way::keep, Way::less, nullptr,
       {.word = true, .exposure = true, .instead = "takes it for under-exposed and over-developed and gives 0.6 stop more"}},
      {"N7", kNegative, {0.0, 1.0, 0.18}, {D::fogged, D::overdeveloped}, Way::keep, Way::any},
  };
  // clang-format on
  return table;
}

RowPlate plate_of(const Row& row, int variation) {
  PlateOptions options = variation == 0 ? ordinary_plate(row.kind) : other_plate(row, variation);
  options.process.extra_fog = row.making.chemical_fog;
  options.process.camera_flare = row.making.flare;
  options.width_mm = 50.8;
  options.height_mm = 63.5;
  options.px_per_mm = 8.0;
  options.scene = scene_of(row, variation);
  options.light_contrast = row.making.light_contrast;
  options.exposure_error_stops = row.making.error_stops;
  options.development_factor = row.making.development;
  options.rim.style = RimStyle::four_sides;
  options.film.edge = FilmEdge::bare_corners;
  options.specks = 10;
  if (row.making.light_leak) options.faults = {{"light_leak", 1, 1.5}};
  return {.options = options, .with_device = options.medium == Medium::black_bed};
}

// Silver of the deepest shadow over the margin, which has to be there. 5b has numbers for negatives (bare
// under 0.05, right 0.10-0.25 over the glass, filled over 0.35); on positives the same words, sizes common
// practice.
bool shows_its_shadows(const Row& row, const PlateTruth& truth) {
  if (!truth.margin_density) return false;
  const double light = std::abs(truth.floor_density - *truth.margin_density);
  if (shadows_of(row) == Shadows::empty) return light < 0.03;
  if (shadows_of(row) == Shadows::filled) return light > (is_positive(row.kind) ? 0.2 : 0.3);
  return true;
}

// As the demo's world develops.
PlateSettings settings_of(const Row& row) {
  const double usual_s = is_positive(row.kind) ? 15.0 : 45.0;
  return {.exposure_s = 8.0, .development_s = std::round(usual_s * row.making.development)};
}

Held held_by(const Row& row, const Recommendation& advice) {
  return {.word = std::ranges::find(row.words, advice.diagnosis) != row.words.end(),
          .exposure = goes(advice.exposure.change, row.exposure, 0.2, 0.5),
          .development = goes(advice.development.change, row.development, 8.0, 25.0)};
}

}  // namespace platewise::trade
