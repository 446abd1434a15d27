#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace platewise {

// Which scan a line of scores is about and what was asked of it: equal for equal work.
struct ScoreIdentity {
  std::string path;
  std::string sha256;                                      // of the scan's bytes
  std::string asked_sha256;                                // of the options it was scored with
  auto operator<=>(const ScoreIdentity&) const = default;  // NOLINT(modernize-use-nullptr): a false alarm
};

// Of one line as score_json wrote it; empty when it is none (a line cut short, say).
[[nodiscard]] std::optional<ScoreIdentity> score_identity(std::string_view line);

}  // namespace platewise
