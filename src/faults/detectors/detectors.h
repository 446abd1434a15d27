#pragma once

#include <vector>

#include "platewise/faults/detector.h"

namespace platewise::fault_detectors {

[[nodiscard]] std::vector<Candidate> missing_film(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> veil(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> light_leak(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> bath_halt_line(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> pour_ridges(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> scratch(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> comet(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> colour_faults(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> fingerprint(const Evidence& evidence);
[[nodiscard]] std::vector<Candidate> specks(const Evidence& evidence);

}  // namespace platewise::fault_detectors
