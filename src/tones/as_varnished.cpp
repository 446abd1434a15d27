#include "platewise/tones/as_varnished.h"

#include <fmt/format.h>

namespace platewise {
namespace {

constexpr Quantity kDryDarkens{0.04, 0.03};
constexpr Quantity kWetDarkens{0.0, 0.03};

Quantity darkening(PlateState state) {
  return state == PlateState::dry ? kDryDarkens : kWetDarkens;
}

bool changes(PlateKind kind, PlateState state) {
  return kind != PlateKind::negative && state != PlateState::varnished;
}

}  // namespace

Tones as_varnished(const Tones& tones, PlateKind kind, PlateState state) {
  if (!changes(kind, state)) return tones;
  const Quantity darkens = darkening(state);
  Tones varnished = tones;
  const auto darken = [&](std::optional<Quantity>& density) {
    if (density) density = *density + darkens;
  };
  if (tones.support_seen) darken(varnished.support_density);  // else it is a varnished plate's already
  for (auto* density : {&varnished.margin_density, &varnished.floor_density, &varnished.midtone_density,
                        &varnished.highlight_density})
    darken(*density);
  return varnished;
}

std::optional<std::string> varnish_remark(PlateKind kind, PlateState state) {
  if (!changes(kind, state)) return std::nullopt;
  const Quantity darkens = darkening(state);
  return fmt::format(
      "scanned {}: the tones are those of the plate as it is; the advice reckons that varnish makes it "
      "darker by {:.2f} \u00b1 {:.2f} D (common practice, no source for the amount)",
      state == PlateState::dry ? "before varnishing" : "wet", darkens.value, darkens.u);
}

}  // namespace platewise
