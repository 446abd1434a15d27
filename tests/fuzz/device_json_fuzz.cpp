// Any text as a scanner's calibration: a Problem, or a curve that survives being written and read again.
#include "fuzz.h"
#include "platewise/json/curve_json.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto device = device_from_json(fuzz::text(data, size), "fuzz");
  if (!device) return 0;
  const std::string written = device_json(*device);
  const auto again = device_from_json(written, "again");
  fuzz::must(again.has_value());
  fuzz::must(device_json(*again) == written);
  return 0;
}
