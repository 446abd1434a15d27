#include "scoring.h"

#include <fmt/format.h>

#include <algorithm>

namespace platewise::cli {
namespace {

void add_warnings(PlateScore& score, const Warnings& more) {
  for (const std::string& warning : more) {
    const auto& all = score.warnings;
    if (std::find(all.begin(), all.end(), warning) == all.end()) score.warnings.push_back(warning);
  }
}

}  // namespace

ExitCode score_each(const std::vector<PlateRequest>& requests, Console& console,
                    const std::function<void(PlateScore, std::size_t)>& take) {
  // Reading takes about this part of a plate's time; what follows comes in one step.
  constexpr double kReadingShare = 0.5;
  ExitCode code = ExitCode::done;
  const auto total = static_cast<double>(requests.size());
  for (std::size_t i = 0; i < requests.size(); ++i) {
    const std::string what = fmt::format("plate {} of {}", i + 1, requests.size());
    ScoreOptions options = requests[i].options;
    options.read.progress = [&console, &what, total, i](double done) {
      console.progress((static_cast<double>(i) + kReadingShare * done) / total, what);
    };
    Result<PlateScore> score = score_plate(requests[i].path, options);
    if (!score) {
      console.complain(score.error());
      code = ExitCode::input_unusable;
      continue;
    }
    add_warnings(*score, requests[i].warnings);
    take(*std::move(score), i);
    console.progress(static_cast<double>(i + 1) / total, what);
  }
  console.clear_progress();
  return code;
}

bool succeeded(const Result<void>& result, Console& console) {
  if (!result) console.complain(result.error());
  return result.has_value();
}

}  // namespace platewise::cli
