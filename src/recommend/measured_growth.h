#pragma once

#include <optional>
#include <span>

#include "platewise/sensitometry/development.h"
#include "process_model.h"

namespace platewise {

// What sensitometry's fit of the photographer's own curves says of development, as draws. Empty unless the
// curves state at least two different times: from one time nothing can be learnt of growth.
class MeasuredDevelopment {
 public:
  [[nodiscard]] static std::optional<MeasuredDevelopment> from(std::span<const PlateCurve> curves);

  // One draw from three standard-normal coordinates: which law fog follows, how much of it there is, and
  // which law silver follows (highlights and gamma go together: it is the same silver).
  [[nodiscard]] MeasuredGrowth drawn(double fog_law_z, double fog_level_z, double silver_law_z) const;

 private:
  explicit MeasuredDevelopment(DevelopmentModel model) : model_(std::move(model)) {}
  DevelopmentModel model_;
  double shortest_s_ = 0.0;
  double longest_s_ = 0.0;
};

// Time whose fog is 0.06 D by this draw, kept between half the shortest and twice the longest time that the
// draw rests on. Empty where fog does not hang on time: then no other time is asked for.
[[nodiscard]] std::optional<double> aim_time_s(const MeasuredGrowth& growth);

}  // namespace platewise
