#pragma once

#include <optional>

#include "platewise/recommend/recommend.h"

namespace platewise {

// The arithmetic of stops, times and apertures. One stop is a factor of 2 in exposure.
// Checked against the published tables in tests/recommend/exposure_arithmetic_test.cpp.

// time * 2^stops.
[[nodiscard]] double time_after(double time_s, double stops);

// The same where long exposures are worth less: time * 2^(stops / p), for exposure = light x time^p.
// Source: Schwarzschild 1900 (handbook, numbers.csv: law READ; 0.86 his plate, about 0.83 from Abney's
// figures of a slow plate, 1 where reciprocity holds).
[[nodiscard]] double time_after(double time_s, double stops, double schwarzschild_p);

// Stops of exposure more that `to` got by its settings: p log2 t - 2 log2 N - 2 log2 (draw / focal length).
// Empty without both times, or where only one of them notes an aperture or a draw. Light is not in it.
[[nodiscard]] std::optional<double> stops_between(const PlateSettings& from, const PlateSettings& to);

// f-number that gives `stops` more at the same time: N * 2^(-stops/2).
[[nodiscard]] double aperture_after(double f_number, double stops);

// The marking engraved on lenses nearest to an f-number, in thirds of a stop (1, 1.1, 1.2, 1.4 ...).
[[nodiscard]] double nearest_marking(double f_number);

// Times the exposure needs when the camera is drawn out for an image at `scale` times life size: (1 +
// scale)^2.
[[nodiscard]] double extension_factor(double scale);

// The same in stops from the draw: 2 log2(draw / focal length). Geometrical optics (handbook, numbers.csv).
[[nodiscard]] double extension_stops(double bellows_ratio);

// Stops that a long exposure is worth less on wet collodion: none to 10 s, a third at 30 s, two thirds at
// 2 min, straight in log time between and beyond (handbook, process.md section 6; common practice, no
// published value found). Not added by `recommend` itself: said in words where it matters and no exponent of
// the material is noted.
[[nodiscard]] double reciprocity_loss_stops(double time_s);

// A time that a hand can do, nearest to `exact_s` in ratio:
//   lens cap and counted seconds: half seconds from 1 to 4 s (a metronome at 120), whole seconds to 20 s,
//   2 s to a minute, 5 s beyond; below a second the shutter's markings 1/2, 1/4, 1/8, 1/15 ... s.
// Off by at most a fifth of a stop from 1.25 s upward.
[[nodiscard]] double hand_exposure_s(double exact_s);

// Developing is counted in whole seconds, two at least.
[[nodiscard]] double hand_development_s(double exact_s);

}  // namespace platewise
