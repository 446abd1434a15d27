#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/logbook/logbook.h"
#include "platewise/pipeline/plate_score.h"
#include "shared_options.h"

namespace platewise::cli {

// The score that the logbook keeps of a plate, with the settings and the note as they stand in the logbook
// now.
[[nodiscard]] Result<PlateScore> score_of(const LoggedPlate& plate, const std::string& logbook);

// Settings and note of a plate as the logbook keeps them.
void set_noted(LogEntry& entry, const PlateSettings& settings);

// The series that the plates of this run belong to (--log FILE --series NAME).
class SeriesLog {
 public:
  // Empty when no logbook is asked for. One of the two options alone is wrong usage; a file that cannot be
  // used is an unusable input, said before any work starts.
  [[nodiscard]] static tl::expected<std::optional<SeriesLog>, Refusal> open(const SharedOptions& options);

  // What was noted before of the same scan fills what was not said this time; the plates made before it in
  // this series sharpen its advice; then the plate is written down. Returns its number. `longest_s`: the
  // longest the sitter can hold still.
  [[nodiscard]] Result<std::int64_t> join(PlateScore& score, const std::optional<double>& longest_s = {});

  // The plates of the series, in order.
  [[nodiscard]] Result<std::vector<LoggedPlate>> plates() const { return logbook_.plates(series_); }

  [[nodiscard]] std::string line(std::int64_t number) const;

 private:
  SeriesLog(Logbook logbook, std::string file, std::string series);

  Logbook logbook_;
  std::string file_;
  std::string series_;
};

}  // namespace platewise::cli
