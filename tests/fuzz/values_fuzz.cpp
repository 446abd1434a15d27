// Any word as each of the values of the command line: a Problem, or a number that makes sense.
#include <cmath>

#include "fuzz.h"
#include "values.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view word = fuzz::text(data, size);
  if (const auto value = cli::time_s(word, "fuzz")) fuzz::must(std::isfinite(*value) && *value > 0.0);
  if (const auto value = cli::f_number(word, "fuzz")) fuzz::must(std::isfinite(*value) && *value > 0.0);
  if (const auto value = cli::exposure_value(word, "fuzz")) fuzz::must(std::isfinite(*value));
  if (const auto value = cli::plate_size(word, "fuzz")) fuzz::must(value->width > 0.0 && value->height > 0.0);
  if (const auto corners = cli::corners_px(word, "fuzz")) {
    for (const Point& corner : *corners) fuzz::must(std::isfinite(corner.x) && std::isfinite(corner.y));
  }
  (void)cli::numbers(word, 4, "fuzz", "1,2,3,4");
  return 0;
}
