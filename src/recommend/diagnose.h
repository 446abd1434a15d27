#pragma once

#include <array>
#include <span>

#include "platewise/recommend/recommendation.h"
#include "process_model.h"

namespace platewise {

// The word for one possible truth (handbook, process.md section 5c):
//   fogged       veil that time does not explain is over 0.05 D and more than time explains;
//   under-/over- exposed    off by more than half a stop;
//   under-/over- developed  off by more than one step of development, a fifth of the time;
//   well exposed otherwise.
// The margin test lies in the evidence: a veiled margin is explained by time or by chemical fog, a clear
// margin beside veiled shadows by exposure.
[[nodiscard]] Diagnosis diagnosis_of(const ProcessState& state);

// Share of the draws for each word. A light leak found on the plate takes most of it for `fogged`.
[[nodiscard]] std::array<double, kDiagnosisCount> diagnosis_probabilities(std::span<const ProcessState> draws,
                                                                          bool light_leak);

[[nodiscard]] Diagnosis likeliest(const std::array<double, kDiagnosisCount>& probability);

}  // namespace platewise
