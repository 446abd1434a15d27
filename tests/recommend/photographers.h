#pragma once

#include "platewise/recommend/recommend.h"
#include "platewise/stats/random.h"

namespace platewise::trial {

// Simulated photographers to try the recommender on. Their process is coded apart from the recommender's and
// of other curve families, on purpose:
//   positives  the silver layer's density rises with exposure by a Weibull or a normal distribution function,
//              and is seen through the trade's reflectance model R = Rs (1 - 10^-D) + Rb 10^-2D (handbook,
//              process.md 5d), fog included;
//   negatives  an arc tangent of a power of exposure: a long soft shoulder;
//   growth     after an onset either towards a limit or nearly at once; fog by an exponential of time.
struct Photographer {
  PlateKind kind = PlateKind::tintype;
  bool grows = true;     // else development does nearly nothing after the onset
  bool weibull = true;   // else normal (positives)
  double layer = 0.9;    // transmission density of the full silver layer at long development
  double steepness = 2;  // of the exposure law
  double aim_time_s = 18;
  double onset = 0.3;  // of the aim time
  double rate = 1.5;   // of growth after the onset, per aim time
  double speed_power = 0.2;
  double fog_rate = 1.5;  // exponent of fog growth per aim time
  double fog_layer = 0.01;
  double white = 0.42;   // reflectance of silver
  double black = 0.045;  // of the support
  double midtone = 0.5;  // log10 exposure below the highlight
  double floor = 1.4;
  double flare = 0.01;            // of the mid-tone's exposure
  double ideal_exposure_s = 5.0;  // under a light of 0 stops
  double ideal_exposure = 1.0;    // highlight exposure on the process's own scale

  [[nodiscard]] double silver(double exposure, double time_s) const;  // as Tones means silver
  [[nodiscard]] double fog(double time_s) const { return silver(0.0, time_s); }
  [[nodiscard]] double largest(double time_s) const { return silver(1e9, time_s); }
};

struct PhotographerOptions {
  PlateKind kind = PlateKind::tintype;
  double start_stops = 1.5;  // errors up to this
};
[[nodiscard]] Photographer photographer(const PhotographerOptions& options, Random& random);

// The same process before another scene.
[[nodiscard]] Photographer with_other_scene(Photographer who, Random& random);

// Silver of the tones of a plate that got `error_stops` too much and this time.
struct PlateSilver {
  double fog = 0.0;
  double floor = 0.0;
  double midtone = 0.0;
  double highlight = 0.0;
};
[[nodiscard]] PlateSilver plate_silver(const Photographer& who, double error_stops, double time_s);

// What the scan says of a plate that got `error_stops` too much and this time: with scatter, and with the
// uncertainty stated as large as the scatter.
struct ScanQuality {
  double u = 0.05;  // of tone differences
  bool calibrated = false;
  double support_seen_share = 0.6;
};
[[nodiscard]] Tones scanned(const Photographer& who, double error_stops, double time_s,
                            const ScanQuality& quality, Random& random);

// The photographer's step-wedge plate, 21 steps of 0.15, developed for `time_s`.
[[nodiscard]] PlateCurve wedge_curve(const Photographer& who, double time_s, Random& random);

}  // namespace platewise::trial
