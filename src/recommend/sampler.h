#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>

namespace platewise {

struct SamplerOptions {
  int draws = 800;
  int moves = 6;         // random-walk steps after each tightening
  int moves_at_end = 6;  // further ones under the full evidence
  std::uint64_t seed = 1;
};

// Draws from a posterior whose prior is standard normal in every coordinate, one draw a column.
// Sequential Monte Carlo: the likelihood is let in by powers from 0 to 1, each chosen so that half of the
// draws still count; between them the draws are resampled and moved by random-walk Metropolis steps shaped
// like the draws themselves. Finds separated modes, needs no derivatives, gives the same for the same seed.
// Source: Del Moral, Doucet & Jasra, J. Royal Statistical Society B 68(3), 2006.
using LogLikelihood = std::function<double(const Eigen::VectorXd&)>;
[[nodiscard]] Eigen::MatrixXd draw_posterior(int dimensions, const LogLikelihood& log_likelihood,
                                             const SamplerOptions& options);

}  // namespace platewise
