#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "measured_growth.h"
#include "platewise/recommend/recommend.h"
#include "process_model.h"

namespace platewise {

// What the tones of one plate say about silver, each with its own uncertainty. Only differences that do not
// hang on the unknown offset of an uncalibrated scan.
struct ToneEvidence {
  std::optional<Quantity> range;              // highlight - floor
  std::optional<Quantity> midtone_range;      // midtone - floor
  std::optional<Quantity> floor_over_margin;  // floor - fog
  std::optional<Quantity> fog;                // margin against support
  std::optional<Quantity> floor;              // floor against support, where the margin was not measured
  std::optional<double> empty_shadow_fraction;
  std::optional<double> blocked_highlight_fraction;
};
[[nodiscard]] ToneEvidence tone_evidence(const Tones& tones, PlateKind kind, bool light_leak);

// How a plate stands to the scored one, from their settings: what it should have got more.
struct PlateRelation {
  double exposure_stops = 0.0;
  double exposure_sd = 0.0;
  double log_development = 0.0;
  double log_development_sd = 0.0;
};

// All that is known: this plate, the photographer's curves, and the plates made before it.
// A state is a point of standard-normal coordinates (see `state`), so the prior is built in.
class Evidence {
 public:
  Evidence(const Tones& tones, const RecommendOptions& options);

  [[nodiscard]] int dimensions() const;
  [[nodiscard]] bool has_own_curve() const { return !curves_.empty(); }
  [[nodiscard]] ProcessState state(const Eigen::VectorXd& z) const;
  [[nodiscard]] double log_likelihood(const Eigen::VectorXd& z) const;

 private:
  struct Earlier {
    ToneEvidence tones;
    PlateRelation relation;
  };
  // One of the photographer's own curves, reduced to what the model can be held against.
  struct OwnCurve {
    std::optional<double> log_development_s;
    Quantity fog;
    Quantity largest;
    OwnShape shape;
  };
  [[nodiscard]] static OwnCurve reduced(const PlateCurve& curve);
  void take_curves(const std::vector<PlateCurve>& curves);
  void develop_as_measured(ProcessState& state, const Eigen::VectorXd& z) const;
  [[nodiscard]] double curve_log_likelihood(const OwnCurve& curve, const ProcessState& state) const;

  PlateKind kind_;
  bool blue_lights_ = false;
  double nearly_none_below_z_ = 0.0;  // coordinate that stands for the share of this kind of growth
  std::optional<double> log_development_s_;
  ToneEvidence tones_;
  std::vector<Earlier> earlier_;
  std::vector<OwnCurve> curves_;
  std::optional<MeasuredDevelopment> development_;  // from curves at several times
};

}  // namespace platewise
