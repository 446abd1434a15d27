// Any text as a wedge's table: a Problem, or at least five densities that rise or fall all the way.
#include "fuzz.h"
#include "platewise/calibrate/wedge.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto wedge = parse_wedge(fuzz::text(data, size), "fuzz");
  if (!wedge) return 0;
  fuzz::must(wedge->steps.size() >= 5);
  for (std::size_t i = 1; i < wedge->steps.size(); ++i)
    fuzz::must(wedge->steps[i].density > wedge->steps[i - 1].density);
  return 0;
}
