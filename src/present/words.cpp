#include "words.h"

#include <algorithm>
#include <array>

namespace platewise::words {

std::string_view diagnosis(Diagnosis word) {
  constexpr std::array<std::string_view, kDiagnosisCount> kWords{"well exposed",
                                                                 "under-exposed",
                                                                 "over-exposed",
                                                                 "under-developed",
                                                                 "over-developed",
                                                                 "under-exposed and over-developed",
                                                                 "under-exposed and under-developed",
                                                                 "over-exposed and over-developed",
                                                                 "over-exposed and under-developed",
                                                                 "fogged"};
  return kWords[static_cast<std::size_t>(word)];
}

std::string_view kind(PlateKind kind) {
  return name_of(kind);
}

std::string fault(std::string_view id) {
  std::string text(id);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string_view chart_rule(int rule) {
  constexpr std::array<std::string_view, 6> kRules{"",
                                                   "beyond the limits",
                                                   "two of three near a limit",
                                                   "four of five off the mean on one side",
                                                   "eight in a row on one side of the mean",
                                                   "a slow drift beyond its limits"};
  return kRules[static_cast<std::size_t>(std::clamp(rule, 0, 5))];
}

}  // namespace platewise::words
