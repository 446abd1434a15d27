// Any text as a list of settings.
#include "fuzz.h"
#include "settings_file.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto list = cli::SettingsList::parse(fuzz::text(data, size), "fuzz");
  if (!list) fuzz::must(!list.error().message().empty());
  return 0;
}
