#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/knowledge/fault_table.h"

namespace platewise {

// The chemistry of this trade can blind, burn and kill. Beside every remedy that touches a dangerous thing
// stands one line from data/cautions.csv; the program gives no doses, antidotes or ways of disposal, and
// leaves the rest to safety data sheets, the law and qualified people.
struct Caution {
  std::string key;   // "AGNO3", "KCN" ...
  std::string item;  // what it is about
  std::string line;  // what to show
  std::string show_with;
  Status status = Status::PRACTICE;
  std::string source;
};

// Closes every list of cautions.
inline constexpr std::string_view kCautionClosing =
    "Follow the supplier's safety data sheet, local law and fire code; if unsure ask someone qualified. This "
    "program gives no medical advice.";

[[nodiscard]] std::span<const Caution> caution_table();

// Null for an unknown key.
[[nodiscard]] const Caution* caution(std::string_view key);

// Lines to show for these keys: "item: line", each once, the closing line last. A pair that is dangerous
// together comes first: acid or (acid) developer near cyanide. Empty for no keys; unknown keys are an
// assertion.
[[nodiscard]] std::vector<std::string> caution_lines(const std::vector<std::string>& keys);

// Keys of the table for a fault, and for the words of a remedy ("more acid in the developer").
[[nodiscard]] std::vector<std::string> caution_keys_of_fault(std::string_view fault_id);
[[nodiscard]] std::vector<std::string> caution_keys_of_words(std::string_view remedy);

// The lines for a fault, and for the words of a remedy.
[[nodiscard]] std::vector<std::string> cautions_for(std::string_view fault_id);
[[nodiscard]] std::vector<std::string> cautions_for_remedy(std::string_view words);

}  // namespace platewise
