#include "demo_day.h"

#include <cmath>

namespace platewise {
namespace {

constexpr double kDpi = 300.0;
constexpr double kMmPerInch = 25.4;
constexpr double kRightDevelopment_s = 15.0;  // positives, numbers.csv 10-25 s
constexpr double kRightDevelopmentNegative_s = 45.0;
constexpr std::uint64_t kNiece = 16;  // scene seeds: who sits is the same in every demo
constexpr std::uint64_t kKeeper = 7;
constexpr double kBlueMore = 1.03;  // of a silver wedge, PRACTICE

struct Making {
  double error_stops = 0.0;
  double factor = 1.0;
  double right_s = 8.0;
};

void make(PlateOptions& options, const Making& making) {
  options.exposure_error_stops = making.error_stops;
  options.development_factor = making.factor;
  options.exposure_s = std::round(10.0 * making.right_s * std::exp2(making.error_stops)) / 10.0;
  const double right = is_positive(options.process.kind) ? kRightDevelopment_s : kRightDevelopmentNegative_s;
  options.development_s = std::round(right * making.factor);
}

PlateOptions quarter_plate(PlateKind kind, std::uint64_t seed) {
  PlateOptions options;
  options.seed = seed;
  options.process = ordinary_process(kind);
  options.px_per_mm = kDpi / kMmPerInch;
  options.device = workshop_scanner(is_positive(kind) ? Light::reflected : Light::transmitted);
  options.specks = 90;
  return options;
}

DemoPlate cottage(std::uint64_t seed, int number, const Making& making, const std::string& note) {
  DemoPlate plate;
  plate.name = "0" + std::to_string(number) + "-lock-cottage";
  plate.options = quarter_plate(PlateKind::tintype, seed * 100 + static_cast<std::uint64_t>(number));
  plate.options.scene = SceneKind::facade;
  plate.options.scene_seed = seed * 100 + 5;
  plate.options.medium = Medium::white_lid;
  plate.options.angle_deg = 0.7 - 0.6 * number;
  make(plate.options, making);
  plate.note = note;
  return plate;
}

DemoPlate niece(std::uint64_t seed) {
  DemoPlate plate;
  plate.name = "04-niece-in-the-garden";
  plate.options = quarter_plate(PlateKind::tintype, seed * 100 + 4);
  plate.options.scene = SceneKind::portrait_light;
  plate.options.scene_seed = kNiece;
  plate.options.medium = Medium::overhangs_scan;
  plate.options.jpeg = true;
  plate.options.jpeg_quality = 90;
  plate.options.faults = {{"comet", 3, 1.0}, {"pour_ridges", 1, 1.1}};
  make(plate.options, {1.4, 0.8, 6.0});
  plate.note = "sun came out while the cap was off; collodion drained in a hurry";
  return plate;
}

DemoPlate shelf(std::uint64_t seed) {
  DemoPlate plate;
  plate.name = "05-workshop-table";
  plate.options = quarter_plate(PlateKind::ambrotype, seed * 100 + 6);
  plate.options.scene = SceneKind::still_life;
  plate.options.medium = Medium::black_bed;
  plate.options.film.edge = FilmEdge::bare_corners;
  plate.options.faults = {{"light_leak", 1, 1.5}};
  make(plate.options, {0.1, 1.05, 10.0});
  plate.note = "other plate holder";
  return plate;
}

DemoPlate towpath(std::uint64_t seed) {
  DemoPlate plate;
  plate.name = "06-towpath-negative";
  plate.options = quarter_plate(PlateKind::negative, seed * 100 + 7);
  plate.options.scene = SceneKind::landscape;
  plate.options.medium = Medium::white_lid;
  plate.options.film.edge = FilmEdge::bare_corners;
  plate.options.film.bare_corners = 2;
  make(plate.options, {-0.2, 0.6, 12.0});
  plate.note = "washed off early, afraid of fog";
  return plate;
}

DemoPlate fogged(std::uint64_t seed) {
  DemoPlate plate;
  plate.name = "07-willow-by-the-weir";
  plate.options = quarter_plate(PlateKind::tintype, seed * 100 + 8);
  plate.options.scene = SceneKind::white_sky;
  plate.options.medium = Medium::white_lid;
  plate.options.film.edge = FilmEdge::bare_corners;
  plate.options.process.extra_fog = 0.22;
  plate.options.faults = {{"pinhole", 250, 1.0}};
  make(plate.options, {0.0, 1.0, 5.0});
  plate.note = "bath not filtered since spring";
  return plate;
}

DemoPlate right_portrait(std::uint64_t seed) {
  DemoPlate plate;
  plate.name = "08-lock-keeper";
  plate.options = quarter_plate(PlateKind::tintype, seed * 100 + 9);
  plate.options.scene = SceneKind::portrait_dark;
  plate.options.scene_seed = kKeeper;
  plate.options.medium = Medium::phone_photo;
  plate.options.angle_deg = 4.0;
  plate.options.surround_mm = 20.0;
  DeviceModel phone;
  phone.noise = 0.004;
  phone.dark_noise = 0.001;
  phone.blur_px = 0.9;
  phone.curve_error = -0.03;
  phone.gain = 0.8;
  plate.options.device = phone;
  make(plate.options, {0.0, 1.0, 7.0});
  plate.note = "photographed on the work bench";
  return plate;
}

WedgeOptions scanner_wedge(std::uint64_t seed, Light light) {
  WedgeOptions options;
  options.seed = seed * 100 + (light == Light::reflected ? 40 : 41);
  options.light = light;
  options.device = workshop_scanner(light);
  options.px_per_mm = kDpi / kMmPerInch;
  if (light == Light::reflected) {
    options.steps = 20;
    options.step_density = 0.09;
    options.step_width_mm = 5.0;
    options.medium = Medium::white_lid;
  } else {
    options.medium = Medium::black_bed;
    options.angle_deg = 90.8;
    options.step_width_mm = 4.5;
  }
  return options;
}

DemoCurvePlate wedge_plate(std::uint64_t seed) {
  DemoCurvePlate made;
  made.plate.name = "plate-through-wedge";
  PlateOptions& options = made.plate.options;
  options = quarter_plate(PlateKind::tintype, seed * 100 + 50);
  options.medium = Medium::white_lid;
  options.film.edge = FilmEdge::bare_corners;
  options.film.unevenness = 0.015;
  options.specks = 30;
  WedgeExposure wedge;
  constexpr int kSteps = 21;
  for (int i = 0; i < kSteps; ++i) {
    made.wedge_densities.push_back(0.05 + 0.15 * i);
    wedge.densities.push_back(kBlueMore * made.wedge_densities.back());
  }
  wedge.clear_log_exposure = 2.6;
  options.wedge = wedge;
  make(options, {0.0, 1.0, 10.0});
  made.plate.note = "through the wedge, 10 s";
  return made;
}

DemoCurvePlate strip_plate(std::uint64_t seed) {
  DemoCurvePlate made;
  made.plate.name = "strip-plate-2-4-8-16-32-s";
  PlateOptions& options = made.plate.options;
  options = quarter_plate(PlateKind::tintype, seed * 100 + 51);
  options.scene = SceneKind::facade;
  options.scene_seed = seed * 100 + 5;
  options.medium = Medium::white_lid;
  options.film.edge = FilmEdge::bare_corners;
  options.strips = StripExposure{{2.0, 4.0, 8.0, 16.0, 32.0}, Edge::left, 8.0};
  make(options, {0.0, 1.0, 8.0});
  made.plate.note = "slide pulled from the left: 2, 4, 8, 16, 32 s";
  return made;
}

}  // namespace

DeviceModel workshop_scanner(Light light) {
  DeviceModel device;
  device.contrast = 1.03;
  device.curve_error = 0.02;
  if (light == Light::reflected) {
    device.gain = 0.72;
    return device;
  }
  device.gain = 0.93;
  device.bits = 16;
  device.colour = false;
  device.curve = ToneCurve::gamma_22;
  device.flare = 0.0006;
  device.local_flare = 0.0006;
  device.dark_noise = 0.0001;
  return device;
}

std::vector<DemoPlate> demo_plates(std::uint64_t seed) {
  return {cottage(seed, 1, {-2.0, 1.5, 8.0}, "first plate of the day, guessed; left it in the developer"),
          cottage(seed, 2, {-0.9, 1.2, 8.0}, "twice the time, still dark"),
          cottage(seed, 3, {0.0, 1.0, 8.0}, "this is the one"),
          niece(seed),
          shelf(seed),
          towpath(seed),
          fogged(seed),
          right_portrait(seed)};
}

std::vector<DemoWedge> demo_wedges(std::uint64_t seed) {
  return {{"scanner-wedge-reflected", scanner_wedge(seed, Light::reflected)},
          {"scanner-wedge-transmitted", scanner_wedge(seed, Light::transmitted)}};
}

std::vector<DemoCurvePlate> demo_curve_plates(std::uint64_t seed) {
  return {wedge_plate(seed), strip_plate(seed)};
}

std::string demo_story() {
  return "A day at the lock (all invented, drawn by a model; NAME.truth.json says what is true of each "
         "file)\n"
         "\n"
         "A lock-keeper and his niece make plates in the garden workshop behind the lock.\n"
         "settings.csv is what they wrote down; scanner-wedge-*.csv and plate-through-wedge.csv came with "
         "the wedges.\n"
         "\n"
         "Try, in this folder:\n"
         "  platewise score 01-lock-cottage.tif --plate-size quarter --settings settings.csv\n"
         "  platewise calibrate scanner scanner-wedge-reflected.tif --wedge scanner-wedge-reflected.csv -o "
         "scanner.json\n"
         "  platewise calibrate plate plate-through-wedge.tif --wedge plate-through-wedge.csv --device "
         "scanner.json \\\n"
         "      --exposure 10s --development 15s -o plate.json\n"
         "  platewise score 0*-lock-cottage.tif --device scanner.json --curve plate.json --settings "
         "settings.csv\n"
         "  platewise score 06-towpath-negative.tif --kind negative --settings settings.csv\n";
}

}  // namespace platewise
