// Prints how true the calibrations are over simulated photographers that nothing was tuned on.
//   platewise_calibration_accuracy [photographers, default 120] [first seed, default 70000]
#include <fmt/format.h>

#include <string>

#include "accuracy/calibration/judged.h"
#include "accuracy/calibration/strip_plate.h"
#include "platewise/calibrate/calibrate_plate.h"
#include "platewise/stats/random.h"

namespace platewise::simulated {
namespace {

struct Totals {
  int photographers = 0;
  int wedges = 0;
  int plates = 0;
  int strips = 0;
  JudgedDevices devices;
  JudgedCurves wedge_plates, strip_plates;
};

void calibrate_one(std::uint64_t seed, Totals& totals) {
  const Photographer who = photographer(seed);
  const Wedge wedge = wedge_file(who, seed);
  ++totals.photographers;
  CalibratePlateOptions options;
  options.kind = who.kind;
  options.light = is_positive(who.kind) ? Light::reflected : Light::transmitted;
  const auto scanner = calibrate_scanner(scan_of_wedge(who, seed), wedge, {options.light, {}});
  if (!scanner) {
    fmt::print("seed {}: wedge: {}\n", seed, scanner.error().message());
    return;
  }
  ++totals.wedges;
  totals.devices.add(who, *scanner, seed);
  options.device = scanner->device;
  constexpr double kSupportU = 0.02;
  options.support_density = Quantity{who.support + Random(seed).fork(6).normal(0.0, kSupportU), kSupportU};
  const auto plate = calibrate_plate(scan_of_plate(who, seed), wedge, options);
  if (plate) {
    ++totals.plates;
    totals.wedge_plates.add(who, plate->curve, who.blue.front() - who.blue.back(), seed);
  } else {
    fmt::print("seed {}: wedge plate: {}\n", seed, plate.error().message());
  }
  const StripPlate strip = strip_plate(who, seed);
  const auto strips = calibrate_strips(strip.scan, strip.strips, options);
  if (strips) {
    ++totals.strips;
    totals.strip_plates.add(strip.who, strips->curve, strips->curve.steps.front().log_exposure, seed);
  } else {
    fmt::print("seed {}: strip plate: {}\n", seed, strips.error().message());
  }
}

void print(const Totals& totals) {
  const auto heading = [](const std::string& of) {
    fmt::print("\n{:32} {:>8} {:>12} {:>12} {:>12}\n", of + ", error of", "rms", "robust sigma", "median u",
               "within 2 u");
  };
  fmt::print("{} photographers: {} wedge scans, {} wedge plates and {} strip plates calibrated\n",
             totals.photographers, totals.wedges, totals.plates, totals.strips);
  heading("scanner");
  totals.devices.print();
  heading("wedge plate");
  totals.wedge_plates.print();
  heading("strip plate");
  totals.strip_plates.print();
}

}  // namespace
}  // namespace platewise::simulated

int main(int argc, char** argv) {
  const int count = argc > 1 ? std::stoi(argv[1]) : 120;
  const std::uint64_t first = argc > 2 ? std::stoull(argv[2]) : 70000;
  platewise::simulated::Totals totals;
  for (int i = 0; i < count; ++i) {
    platewise::simulated::calibrate_one(first + static_cast<std::uint64_t>(i), totals);
  }
  platewise::simulated::print(totals);
  return 5 * totals.plates >= 4 * totals.photographers && 5 * totals.strips >= 4 * totals.photographers ? 0
                                                                                                        : 1;
}
