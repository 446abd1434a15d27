#pragma once

#include <filesystem>

namespace platewise::trial {

struct KilledWriters {
  int kills = 0;
  int acknowledged = 0;  // plates that a writer said were written
  int lost = 0;          // of these, not in the logbook afterwards
  bool whole = false;    // SQLite's own check of the file
};

// Two writers at a time, each a process of its own that puts plates one after the other, both killed
// (SIGKILL) after some milliseconds, `rounds` times over on one file.
[[nodiscard]] KilledWriters kill_writers(const std::filesystem::path& file, int rounds);

}  // namespace platewise::trial
