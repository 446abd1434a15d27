#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "platewise/core/names.h"
#include "platewise/core/plate.h"
#include "platewise/demo/device_model.h"
#include "platewise/demo/process_model.h"
#include "platewise/demo/scene.h"

namespace platewise {

// The coated but unexposed border that the plate holder covered.
enum class RimStyle { none, two_sides, four_sides };
template <>
struct Names<RimStyle> {
  static constexpr std::string_view all[] = {"none", "two_sides", "four_sides"};
};
struct RimOptions {
  RimStyle style = RimStyle::four_sides;
  double width_mm = 3.0;  // mean; each side differs by up to uneven_mm
  double uneven_mm = 1.5;
  double tilt_deg = 0.5;          // of the opening against the plate, up to
  double corner_radius_mm = 5.0;  // of the opening's inner corners
  double softness_mm = 0.12;      // penumbra (sigma)
};

// Where the collodion lies.
enum class FilmEdge { full, wandering, bare_corners };
template <>
struct Names<FilmEdge> {
  static constexpr std::string_view all[] = {"full", "wandering", "bare_corners"};
};
struct FilmOptions {
  FilmEdge edge = FilmEdge::wandering;
  double inset_mm = 1.0;        // wandering: mean distance from the plate's edge
  double wander_mm = 1.0;       // how far the edge strays
  int bare_corners = 1;         // bare_corners: how many
  double bare_corner_mm = 9.0;  // along the diagonal
  double unevenness = 0.04;     // sigma of the smooth share of thickness
};

// How the plate was cut.
struct CutOptions {
  double irregular_mm = 0.6;  // each corner is off by up to this
  double ragged_mm = 0.08;    // sigma of the edge line
  double rounding_mm = 0.5;   // radius of the outer corners
  int clipped_corners = 0;    // snipped by hand, as tintypes often were
  double clip_mm = 5.0;
};

struct FaultOptions {
  std::string id;         // of handbook/faults.csv, see drawable_faults()
  int count = 1;          // how many of them (pinholes, specks: how many dots)
  double strength = 1.0;  // 1 = plainly visible, 0.3 = faint
};
[[nodiscard]] std::vector<std::string> drawable_faults();

enum class Medium { black_bed, white_lid, fills_scan, overhangs_scan, phone_photo };
template <>
struct Names<Medium> {
  static constexpr std::string_view all[] = {"black_bed", "white_lid", "fills_scan", "overhangs_scan",
                                             "phone_photo"};
};
enum class Table { wood, cloth, paper };
template <>
struct Names<Table> {
  static constexpr std::string_view all[] = {"wood", "cloth", "paper"};
};

struct PhotoOptions {
  Table table = Table::wood;
  double perspective = 0.06;   // how far corners are pulled in, share of the plate's side
  double uneven_light = 0.25;  // share of light lost across the plate
  double vignetting = 0.2;     // share lost in the frame's corners
  bool glare = false;          // a window mirrored in the varnish
};

// A plate exposed through a step wedge laid on it, for its characteristic curve.
struct WedgeExposure {
  std::vector<double> densities;    // what the plate sees of each step, clear end first
  double clear_log_exposure = 3.0;  // log10 exposure under a step of density 0, on the process's own axis
  bool strip = false;               // a strip inside the picture; else bands over the whole opening
  bool along_height = true;         // steps follow each other down the plate, else across
  bool clear_first = true;          // the clear end is on top or left
};

// A strip plate: the dark slide pulled in steps of time.
struct StripExposure {
  std::vector<double> times_s;  // total time of each strip, counted from the side `from`
  Edge from = Edge::left;
  double right_time_s = 8.0;  // the time that would give the scene the aim
};

// Everything about one rendered plate. The same options give the same picture.
struct PlateOptions {
  std::uint64_t seed = 1;
  ProcessParameters process = ordinary_process(PlateKind::tintype);  // says the kind
  double width_mm = 82.5;                                            // quarter plate, upright
  double height_mm = 107.9;
  double px_per_mm = 12.0;  // of the scan; 6 is enough for quick tests
  SceneKind scene = SceneKind::portrait_dark;
  std::optional<std::uint64_t> scene_seed;  // the same scene on several plates; else follows `seed`
  std::optional<LinearImage> photograph;    // used instead of a drawn scene
  std::optional<WedgeExposure> wedge;
  std::optional<StripExposure> strips;
  double light_contrast = 1.0;  // of the scene's log luminance: flat light or haze below
  double exposure_error_stops = 0.0;
  double development_factor = 1.0;
  double lens_falloff = 0.25;  // light lost in the picture's corners
  RimOptions rim;
  FilmOptions film;
  CutOptions cut;
  int specks = 40;  // dust, pinholes and flecks of an ordinary plate, not counted as faults
  std::vector<FaultOptions> faults;
  Medium medium = Medium::black_bed;
  double angle_deg = 0.8;     // counter-clockwise turn of the plate on the bed
  double surround_mm = 12.0;  // of scanner bed or table round the plate
  PhotoOptions photo;
  // Of the bare support, in units of the lights' warmth: below 0 it is cooler than neutral.
  double support_warmth = 0.35;
  bool ruby_glass = false;   // the support is dark red
  bool hand_tinted = false;  // rouge and gilt on the picture: no fault
  DeviceModel device;
  bool jpeg = false;  // else TIFF
  int jpeg_quality = 88;
  bool profile = true;  // embed one; a 16-bit file without is linear
  std::optional<double> exposure_s;
  std::optional<double> development_s;
};

// An ordinary plate as they come, everything varied by the seed: kind, size, scene, exposure, development,
// rim, film, cut, medium, device (whites near 45% of full scale for half of them), specks, sometimes faults.
[[nodiscard]] PlateOptions varied_plate(std::uint64_t seed);
// The same with the kind, or kind and medium, held.
[[nodiscard]] PlateOptions varied_plate(std::uint64_t seed, PlateKind kind);
[[nodiscard]] PlateOptions varied_plate(std::uint64_t seed, PlateKind kind, Medium medium);

}  // namespace platewise
