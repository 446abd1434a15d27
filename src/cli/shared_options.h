#pragma once

#include <CLI/CLI.hpp>
#include <memory>
#include <string>
#include <vector>

#include "exit_codes.h"
#include "platewise/core/result.h"
#include "platewise/pipeline/score_plate.h"

namespace platewise::cli {

// The options that score, compare and report share, as typed.
struct SharedOptions {
  std::vector<std::string> scans;
  std::string kind = "tintype";
  std::string plate_size, corners, rotate, side, light, backing, state;
  std::string device, flat, reference, subject, drain_corner, dip_edge;
  std::vector<std::string> curves;
  std::string exposure, development, aperture, meter, bellows, reciprocity, note, settings, log, series,
      longest_exposure;
  std::string sixteen_bit = "linear";
  double megapixels_max = 4000.0;
  int jobs = 0;  // 0: as many as there are cores
  bool inverted = false;
};

// One scan and how it is to be scored.
struct PlateRequest {
  std::filesystem::path path;
  ScoreOptions options;
  Warnings warnings;         // about what was asked for
  std::string asked_sha256;  // of all that was asked for and bears on the result
};

// Why nothing is started.
struct Refusal {
  ExitCode code = ExitCode::wrong_usage;
  Problem problem;
};

// Adds the options to `app`, grouped by what they are about.
void add_shared_options(CLI::App& app, SharedOptions& options);

// Checks all values before any work starts: a value that makes no sense is wrong usage, a calibration or list
// that cannot be read an unusable input.
[[nodiscard]] tl::expected<std::vector<PlateRequest>, Refusal> requests_of(const SharedOptions& options);

// The names of an enumeration as choices for an option's check.
template <class E>
[[nodiscard]] CLI::IsMember one_of() {
  std::vector<std::string> words;
  for (const std::string_view word : Names<E>::all) words.emplace_back(word);
  return CLI::IsMember(words);
}

}  // namespace platewise::cli
