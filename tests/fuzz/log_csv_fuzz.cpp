// Any text as a logbook's list: a Problem, or plates that come back the same from the list written of them.
#include <algorithm>

#include "fuzz.h"
#include "platewise/logbook/log_csv.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto entries = log_entries_from_csv(fuzz::text(data, size), "fuzz");
  if (!entries) {
    fuzz::must(!entries.error().message().empty());
    return 0;
  }
  std::vector<LoggedPlate> plates;
  for (const LogEntry& entry : *entries) plates.push_back({1, entry});
  const auto again = log_entries_from_csv(log_csv(plates), "again");
  fuzz::must(again.has_value() && std::ranges::equal(*again, *entries));
  return 0;
}
