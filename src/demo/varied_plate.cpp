#include <algorithm>
#include <array>
#include <cmath>

#include "dice.h"
#include "platewise/demo/plate_options.h"

namespace platewise {
namespace {

// Ranges of everyday practice; where handbook/numbers.csv has one it is used, the rest is common practice.

struct TradeSize {
  double width_mm, height_mm;
};
constexpr std::array kSizes{TradeSize{165.1, 215.9}, TradeSize{107.9, 139.7}, TradeSize{82.5, 107.9},
                            TradeSize{69.8, 82.5},   TradeSize{50.8, 63.5},   TradeSize{101.6, 127.0}};

ProcessParameters varied_process(PlateKind kind, Dice& dice) {
  ProcessParameters process = ordinary_process(kind);
  process.fast_silver *= dice.uniform(0.85, 1.2);
  process.slow_silver *= dice.uniform(0.6, 1.3);
  process.slow_point += dice.uniform(-0.3, 0.3);
  process.growth_after_onset = dice.chance(0.35) ? dice.uniform(0.0, 0.1) : dice.uniform(0.1, 1.0);
  process.growth_rate = dice.uniform(1.5, 5.0);
  process.onset = dice.uniform(0.8, 1.15) * process.onset;
  process.fog_power = dice.uniform(1.2, 2.6);
  process.camera_flare = dice.log_uniform(0.001, 0.02);
  process.extra_fog = dice.chance(0.12) ? dice.uniform(0.05, 0.3) : 0.0;
  process.grain *= dice.log_uniform(0.6, 1.6);
  if (is_positive(kind)) {
    process.support_density += dice.uniform(-0.15, 0.15);  // 1.35 +- 0.15, PRACTICE
    process.silver_reflectance = dice.uniform(0.33, 0.50);
  } else {
    process.support_density = dice.uniform(0.02, 0.08);
  }
  return process;
}

DeviceModel varied_device(const ProcessParameters& process, bool photo, Dice& dice) {
  DeviceModel device;
  device.colour = photo || dice.chance(0.7);
  device.bits = !photo && dice.chance(0.4) ? 16 : 8;
  device.curve = !device.colour ? ToneCurve::gamma_22 : ToneCurve::srgb;
  device.curve_error = dice.uniform(-0.04, 0.04);
  device.contrast = dice.uniform(0.97, 1.06);
  device.flare = dice.log_uniform(0.0005, 0.004);
  device.local_flare = dice.log_uniform(0.001, 0.006);
  device.blur_px = photo ? dice.uniform(0.7, 1.6) : dice.uniform(0.4, 1.0);
  device.noise = photo ? dice.log_uniform(0.003, 0.012) : dice.log_uniform(0.0006, 0.003);
  device.dark_noise = device.noise * 0.3;
  device.warmth = is_positive(process.kind) ? dice.uniform(0.3, 1.6) : dice.uniform(0.0, 0.5);
  if (!is_positive(process.kind)) {
    device.gain = dice.uniform(0.85, 0.99);
  } else if (dice.chance(0.5)) {
    // An ordinary tintype scan: the lights of a right plate stand near 45% of full scale.
    const double light = plate_density(process, right_highlight_log_exposure(process), 1.0);
    device.gain = profile_light(device.curve, dice.uniform(0.40, 0.50)) * std::pow(10.0, light);
  } else {
    device.gain = dice.uniform(0.75, 1.1);
  }
  return device;
}

void vary_make(PlateOptions& options, Dice& dice) {
  options.scene = static_cast<SceneKind>(dice.whole(0, kSceneKindCount - 1));
  const bool right = dice.chance(0.25);
  options.exposure_error_stops = right ? dice.uniform(-0.2, 0.2) : std::clamp(1.1 * dice.normal(), -3.0, 3.0);
  options.development_factor =
      right ? dice.uniform(0.95, 1.05) : std::clamp(std::exp(0.3 * dice.normal()), 0.5, 2.2);
  options.lens_falloff = dice.uniform(0.1, 0.5);
  const double style = dice.uniform();
  options.rim.style = style < 0.55  ? RimStyle::four_sides
                      : style < 0.8 ? RimStyle::two_sides
                                    : RimStyle::none;
  options.rim.width_mm = dice.log_uniform(1.8, 6.0);
  options.rim.uneven_mm = options.rim.width_mm * dice.uniform(0.1, 0.6);
  options.rim.tilt_deg = dice.uniform(0.0, 0.8);
  options.rim.corner_radius_mm = dice.chance(0.6) ? dice.uniform(2.0, 9.0) : dice.uniform(0.2, 1.0);
  options.rim.softness_mm = dice.uniform(0.05, 0.3);
  const double cover = dice.uniform();
  options.film.edge = cover < 0.25   ? FilmEdge::full
                      : cover < 0.65 ? FilmEdge::wandering
                                     : FilmEdge::bare_corners;
  options.film.inset_mm = dice.uniform(0.0, 1.8);
  options.film.wander_mm = dice.uniform(0.2, 1.3);
  options.film.bare_corners = dice.whole(1, 3);
  options.film.bare_corner_mm = dice.uniform(5.0, 14.0);
  options.film.unevenness = dice.uniform(0.01, 0.07);
}

void vary_faults(PlateOptions& options, Dice& dice) {
  options.specks = static_cast<int>(dice.log_uniform(20.0, 400.0));
  if (dice.chance(0.5)) return;
  // Frilling is seldom kept and scanned; bare corners and sides are the pour's, see FilmOptions; faults of
  // colour show on a part of these scans alone.
  auto ids = drawable_faults();
  for (const char* seldom : {"frilling", "iron_stain", "solarised_blue", "underfix_veil", "uncovered_corner"})
    std::erase(ids, seldom);
  const int count = dice.whole(1, 3);
  for (int i = 0; i < count; ++i) {
    FaultOptions fault;
    fault.id = ids[static_cast<std::size_t>(dice.whole(0, static_cast<int>(ids.size()) - 1))];
    fault.strength = dice.uniform(0.5, 1.3);
    if (fault.id == "pinhole") fault.count = dice.whole(60, 500);
    if (fault.id == "dust_speck") fault.count = dice.whole(8, 60);
    if (fault.id == "comet") fault.count = dice.whole(1, 5);
    options.faults.push_back(fault);
  }
}

void vary_look(PlateOptions& options, Dice& dice) {
  const bool photo = options.medium == Medium::phone_photo;
  options.cut.irregular_mm = dice.uniform(0.1, 1.3);
  options.cut.ragged_mm = dice.log_uniform(0.02, 0.2);
  options.cut.rounding_mm = dice.uniform(0.1, 2.0);
  options.cut.clipped_corners = dice.chance(0.2) ? dice.whole(1, 4) : 0;
  options.cut.clip_mm = dice.uniform(2.0, 6.0);
  options.angle_deg = photo ? dice.uniform(-14.0, 14.0) : 1.8 * dice.normal();
  options.surround_mm = photo ? 0.25 * options.width_mm : dice.uniform(4.0, 25.0);
  options.photo.table = static_cast<Table>(dice.whole(0, 2));
  options.photo.perspective = dice.uniform(0.0, 0.14);
  options.photo.uneven_light = dice.uniform(0.0, 0.5);
  options.photo.vignetting = dice.uniform(0.0, 0.35);
  options.photo.glare = dice.chance(0.2);
  options.device = varied_device(options.process, photo, dice);
  options.jpeg = photo || (options.device.bits == 8 && dice.chance(0.5));
  options.jpeg_quality = dice.whole(75, 95);
}

PlateOptions varied(std::uint64_t seed, std::optional<PlateKind> kind, std::optional<Medium> medium) {
  Dice dice(seed, 99);
  PlateOptions options;
  options.seed = seed;
  const double share = dice.uniform();
  const PlateKind drawn = share < 0.5    ? PlateKind::tintype
                          : share < 0.75 ? PlateKind::ambrotype
                                         : PlateKind::negative;
  const double bed = dice.uniform();
  const Medium lying = bed < 0.18   ? Medium::black_bed
                       : bed < 0.38 ? Medium::white_lid
                       : bed < 0.55 ? Medium::fills_scan
                       : bed < 0.75 ? Medium::overhangs_scan
                                    : Medium::phone_photo;
  options.medium = medium.value_or(lying);
  options.process = varied_process(kind.value_or(drawn), dice);
  const TradeSize size = kSizes[static_cast<std::size_t>(dice.whole(0, static_cast<int>(kSizes.size()) - 1))];
  const bool upright = dice.chance(0.65);
  options.width_mm = upright ? size.width_mm : size.height_mm;
  options.height_mm = upright ? size.height_mm : size.width_mm;
  constexpr double kLargeMm = 150.0;
  options.px_per_mm = std::max(size.width_mm, size.height_mm) > kLargeMm ? 150.0 / 25.4 : 300.0 / 25.4;
  vary_make(options, dice);
  vary_faults(options, dice);
  vary_look(options, dice);
  return options;
}

}  // namespace

PlateOptions varied_plate(std::uint64_t seed) {
  return varied(seed, std::nullopt, std::nullopt);
}
PlateOptions varied_plate(std::uint64_t seed, PlateKind kind) {
  return varied(seed, kind, std::nullopt);
}
PlateOptions varied_plate(std::uint64_t seed, PlateKind kind, Medium medium) {
  return varied(seed, kind, medium);
}

}  // namespace platewise
