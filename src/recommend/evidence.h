#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "measured_growth.h"
#include "plate_relation.h"
#include "platewise/recommend/recommend.h"
#include "process_model.h"
#include "tone_evidence.h"

namespace platewise {

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
  [[nodiscard]] bool is_temperature_asked() const;
  [[nodiscard]] double temperature_rate(const Eigen::VectorXd& z) const;

  PlateKind kind_;
  bool blue_lights_ = false;
  double nearly_none_below_z_ = 0.0;  // coordinate that stands for the share of this kind of growth
  std::optional<double> log_development_s_;
  std::optional<double> temperature_c_;
  ToneEvidence tones_;
  std::vector<Earlier> earlier_;
  std::vector<OwnCurve> curves_;
  std::optional<MeasuredDevelopment> development_;  // from curves at several times
};

}  // namespace platewise
