#include "outer_parts.h"

#include <cmath>

#include "shared_errors.h"

namespace platewise {
namespace {

// D, of film that was developed; common practice, no source.
constexpr double kLeastMarginFog = 0.02;
// Of a bare support that may be the rim: what fog such rims have.
constexpr double kMistakenU = 0.03;
// Of a bare support that may be any film: the most fog that is right (handbook, process.md section 4).
constexpr double kFilmForBareU = 0.06;

}  // namespace

OuterParts told_apart(std::optional<Quantity> bare, const std::optional<Quantity>& rim,
                      const std::optional<Quantity>& floor, double silver_sign, const PlateDensity& plate) {
  if (!bare) return {bare, rim, {}};
  const auto fog = [&](Quantity film) { return difference(film, *bare, silver_sign, plate); };
  const bool rim_is_clear = rim && fog(*rim).value < kLeastMarginFog;
  const bool floor_is_clear = floor && fog(*floor).value + fog(*floor).u < kLeastMarginFog;
  if (floor_is_clear && (!rim || rim_is_clear)) {
    bare->u = std::hypot(bare->u, kFilmForBareU);
    return {bare,
            rim,
            {"what looks like bare support is no clearer than the film beside it, and developed film nearly "
             "always carries some fog: it may be film, so fog is only roughly known"}};
  }
  if (!rim_is_clear) return {bare, rim, {}};
  bare->u = std::hypot(bare->u, kMistakenU);
  return {
      bare,
      std::nullopt,
      {"the rim is as clear as the bare support, clearer than developed film: one was taken for the other, "
       "so the margin was left out"}};
}

}  // namespace platewise
