#include "platewise/sensitometry/speed.h"

#include <cmath>

namespace platewise {

double iso_speed(double exposure_at_speed_point) {
  return 0.80 / exposure_at_speed_point;
}
double logarithmic_iso_speed(double speed) {
  return 1.0 + 10.0 * std::log10(speed);
}
double hurter_driffield_speed(double inertia) {
  return 34.0 / inertia;
}
double watkins_speed(double inertia) {
  return 50.0 / inertia;
}
double wynne_speed(double watkins) {
  return 6.4 * std::sqrt(watkins);
}
double stops_from_log_exposure(double log_exposure_change) {
  return log_exposure_change / std::log10(2.0);
}
double log_exposure_from_stops(double stops) {
  return stops * std::log10(2.0);
}
double development_by_factor(double appearance_s, double factor) {
  return appearance_s * factor;
}
double time_at_other_light(double time_s, double light_ratio, double schwarzschild_exponent) {
  return time_s * std::pow(light_ratio, -1.0 / schwarzschild_exponent);
}

}  // namespace platewise
