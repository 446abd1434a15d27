#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/names.h"

namespace platewise {

// What the trade knows of each fault, from data/faults.csv, fault_causes.csv and fault_remedies.csv, compiled
// in. To add a fault:
//   1. a row in data/faults.csv (what it looks like, `seen`, and a question where no scan can show it);
//   2. its causes and remedies, most likely first, in the two other files, each with status and source;
//   3. a detector in faults, unless it is `by_eye`.
// Tests check that every fault has a cause and a remedy and that every caution key resolves.

// How a statement is known: read in its source, known from it but not read again, or workshop custom.
enum class Status { READ, MEMORY, PRACTICE };
template <>
struct Names<Status> {
  static constexpr std::string_view all[] = {"READ", "MEMORY", "PRACTICE"};
};

// What a scan can tell: the fault itself, the fault if the scan is in colour, or too little to tell it from
// its look-alikes; then the photographer is asked.
enum class Seen { scan, colour_scan, by_eye };
template <>
struct Names<Seen> {
  static constexpr std::string_view all[] = {"scan", "colour_scan", "by_eye"};
};

// Which of the marks a fault takes from. Faults of `tones` are marked through fog and exposure.
enum class MarkedIn { coating, cleanliness, tones };
template <>
struct Names<MarkedIn> {
  static constexpr std::string_view all[] = {"coating", "cleanliness", "tones"};
};

struct KnownCause {
  std::string step;  // where in the cycle: "pour", "bath", "develop" ...
  std::string text;
  Status status = Status::PRACTICE;
  std::string source;
};

struct KnownRemedy {
  std::string text;
  Status status = Status::PRACTICE;
  std::string source;
};

struct KnownFault {
  std::string id;
  std::vector<std::string> trade_names;
  std::string look;
  std::string size_mm;  // usual size in words, "0.2-2" ...
  std::string tone_on_positive;
  std::string tone_on_negative;
  std::string where;
  std::string orientation;
  std::string confused_with;
  MarkedIn marked_in = MarkedIn::cleanliness;
  Seen seen = Seen::scan;
  std::string question;  // asked where seen is by_eye, else empty
  std::vector<std::string> caution_keys;
  std::vector<KnownCause> causes;     // most likely first
  std::vector<KnownRemedy> remedies;  // to be tried in this order
  Status status = Status::PRACTICE;   // of the look
  std::string source;
};

[[nodiscard]] std::span<const KnownFault> known_faults();

// Null for an id that is not in the table.
[[nodiscard]] const KnownFault* known_fault(std::string_view id);

// "step: cause" and remedies as sentences for a result, most likely first; empty for an unknown id.
[[nodiscard]] std::vector<std::string> likely_causes(std::string_view fault_id);
[[nodiscard]] std::vector<std::string> remedies(std::string_view fault_id);

}  // namespace platewise
