#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "platewise/core/names.h"

namespace platewise {

// The one word for a plate's state (handbook, process.md section 5c).
enum class Diagnosis {
  well_exposed,
  underexposed,
  overexposed,
  underdeveloped,
  overdeveloped,
  underexposed_overdeveloped,
  underexposed_underdeveloped,
  overexposed_overdeveloped,
  overexposed_underdeveloped,
  fogged
};
inline constexpr std::size_t kDiagnosisCount = 10;
template <>
struct Names<Diagnosis> {
  static constexpr std::string_view all[] = {"well_exposed",
                                             "underexposed",
                                             "overexposed",
                                             "underdeveloped",
                                             "overdeveloped",
                                             "underexposed_overdeveloped",
                                             "underexposed_underdeveloped",
                                             "overexposed_overdeveloped",
                                             "overexposed_underdeveloped",
                                             "fogged"};
};

// A change with its 80% interval; positive = more. Exposure in stops, development in percent.
struct Change {
  double change = 0.0;
  double low = 0.0;
  double high = 0.0;
  std::optional<double> from_s;
  std::optional<double> to_s;        // a time a hand can do
  std::optional<double> to_exact_s;  // unrounded
};

struct Recommendation {
  Diagnosis diagnosis = Diagnosis::well_exposed;
  std::array<double, kDiagnosisCount> probability{};  // sums to 1, in enumerator order
  Change exposure;
  Change development;
  // Posterior of how far this plate is from the aim: plus = got too much.
  double exposure_error_stops = 0.0;
  double exposure_error_u = 0.0;
  double development_error_fraction = 0.0;  // 0.3 = developed 30% too long
  double development_error_u = 0.0;
  // Posterior of the veil that covers the whole plate, development and chemistry together, in density.
  double veil_density = 0.0;
  double veil_u = 0.0;
  std::vector<std::string> because;
  std::vector<std::string> alternatives;
};

}  // namespace platewise
