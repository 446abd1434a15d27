#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "platewise/core/result.h"

namespace platewise {

// What `platewise demo DIR` wrote, in order of making.
struct DemoFiles {
  std::vector<std::filesystem::path> plates;
  std::vector<std::filesystem::path> calibration;  // wedge scans, wedge and strip plates, their lists
  std::vector<std::filesystem::path> notes;        // settings.csv, the-story.txt, NAME.truth.json
};

// Renders an invented day of plates at a lock-keeper's garden workshop into `folder` (made if missing):
// plates from badly under-exposed and over-developed to right, tintypes, ambrotypes and a negative, clean and
// with faults, wedge scans, a settings list, and the truth beside each (NAME.truth.json). The same seed gives
// the same pictures. `progress` gets the share done and the file's name. Fails with a Problem when the folder
// cannot be made or a file cannot be written.
[[nodiscard]] Result<DemoFiles> write_demo(
    const std::filesystem::path& folder, std::uint64_t seed,
    const std::function<void(double, const std::string&)>& progress = {});

}  // namespace platewise
