#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lines_file.h"
#include "outputs.h"
#include "scoring.h"

namespace platewise::cli {

// The JSON side of a run that scores: lines leave as soon as their plate is done, an object or array at the
// end.
class JsonResults {
 public:
  // Fails when the lines file cannot be begun.
  [[nodiscard]] static Result<JsonResults> begin(const JsonTarget& target, std::size_t plates,
                                                 Console& console);

  // The scans an earlier run has already done, as --resume wants it: by place among the requests.
  [[nodiscard]] std::vector<bool> done_before(const std::vector<PlateRequest>& requests);

  [[nodiscard]] ExitCode take(const PlateScore& score, std::size_t place);
  [[nodiscard]] ExitCode finish();

 private:
  JsonResults(const JsonTarget& target, std::size_t plates, Console& console);

  JsonTarget target_;
  Console* console_;
  bool one_scan_;
  std::optional<LinesFile> lines_;
  std::vector<std::optional<ScoreIdentity>> order_;
  std::vector<std::string> documents_;
};

}  // namespace platewise::cli
