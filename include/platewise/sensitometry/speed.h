#pragma once

namespace platewise {

// Speed numbers and the arithmetic of exposure. Exposures H in lux seconds where the numbers ask for it.

// ISO 6: S = 0.80 / Hm with Hm the exposure at 0.10 over fog; only meaningful when density rises by 0.80 from
// there to 1.30 further in log exposure. The logarithmic number is 1 + 10 log10 S, not rounded.
[[nodiscard]] double iso_speed(double exposure_at_speed_point);
[[nodiscard]] double logarithmic_iso_speed(double iso_speed);

// From the inertia (where the straight part, prolonged, cuts the fog level): Hurter & Driffield 34 / i,
// Watkins 50 / i, Wynne 6.4 sqrt(Watkins). Source: Martin 1919.
[[nodiscard]] double hurter_driffield_speed(double inertia);
[[nodiscard]] double watkins_speed(double inertia);
[[nodiscard]] double wynne_speed(double watkins_speed);

// One stop doubles the exposure: log10 2 = 0.301 of log exposure.
[[nodiscard]] double stops_from_log_exposure(double log_exposure_change);
[[nodiscard]] double log_exposure_from_stops(double stops);

// Watkins' factorial development: whole time = factor times the time of first appearance of the image.
[[nodiscard]] double development_by_factor(double appearance_s, double factor);

// Exposure that makes up for reciprocity failure after Schwarzschild (1900): equal blackening when I t^p is
// equal. The time that replaces `time_s` at `light_ratio` times the light.
[[nodiscard]] double time_at_other_light(double time_s, double light_ratio, double schwarzschild_exponent);

}  // namespace platewise
