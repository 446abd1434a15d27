#pragma once

#include <cstdint>
#include <vector>

namespace platewise {

// A contrario judging: a finding is kept when chance alone would hardly give it anywhere in the picture.
//   NFA = number_of_tests * P(at least what was seen, under the background model)
// All in log10, for probabilities far below the smallest double. A finding is meaningful at log10 NFA <= 0.
// Source: Desolneux, Moisan & Morel, Int. J. Computer Vision 40(1), 2000.

// log10 P(X >= k), X binomial (n, p), 0 < p < 1. 0 for k <= 0; minus infinity for k > n.
[[nodiscard]] double log10_binomial_tail(std::int64_t n, std::int64_t k, double p);

// log10 P(Z >= z) of a standard normal.
[[nodiscard]] double log10_normal_tail(double z);

// log10 NFA of k hits among n independent points.
[[nodiscard]] double log10_nfa(double log10_tests, std::int64_t n, std::int64_t k, double p);

// False alarms to expect for each finding kept, when it and all that are at least as meaningful are kept:
// each finding's NFA over its rank, made to rise with the NFA, in the order given. Where nothing is to be
// found the chance of any finding at a limit is that limit, as for single findings; where much is, as large a
// share of them may be false. Source: Benjamini & Hochberg, J. Royal Statistical Society B 57(1), 1995.
[[nodiscard]] std::vector<double> log10_nfa_shared(const std::vector<double>& log10_nfas);

}  // namespace platewise
