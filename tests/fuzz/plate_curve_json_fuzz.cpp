// Any text as a plate's curve: a Problem, or a curve that survives being written and read again.
#include "fuzz.h"
#include "platewise/json/curve_json.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto curve = plate_curve_from_json(fuzz::text(data, size), "fuzz");
  if (!curve) return 0;
  const std::string written = plate_curve_json(*curve);
  const auto again = plate_curve_from_json(written, "again");
  fuzz::must(again.has_value());
  fuzz::must(plate_curve_json(*again) == written);
  return 0;
}
