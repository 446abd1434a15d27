#include "picture_spots.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "platewise/stats/nfa.h"

namespace platewise {
namespace {

constexpr double kLeastEvenness = 4.0;
constexpr double kSofterBy = 2.0;      // sigma; what is so much softer than the sharpest is the picture's own
constexpr double kShareSofter = 0.6;   // of the picture's own spots, on development plates
constexpr double kAsSharpShare = 0.1;  // of them that look as sharp as the sharpest twentieth of the edges
// Few spots say little of their tail: three more that fall with the power 2.5, between bounds seen on
// development plates.
constexpr double kPriorSpots = 3.0;
constexpr double kPriorPower = 2.5;
constexpr double kLeastPower = 1.0;
constexpr double kMostPower = 4.0;
constexpr double kCompanyUnits = 4.0;  // one sigma of what counts as round a spot
constexpr double kCompanyPrior = 1.0;  // spots spread evenly, since few round a place say little
constexpr double kCompanyCounts =
    2.0;  // marks lie evenly, so that of spots in a crowd most are the picture's

// log10 of the share of the picture's own spots that are at least so sharp.
double log10_sharper(double harder_by) {
  const double log10_share = std::log10(kAsSharpShare);
  if (harder_by < 0.0) return std::min(0.0, log10_share - harder_by);  // a decade for each sigma
  return log10_share + std::log10(2.0) + log10_normal_tail(harder_by);
}

}  // namespace

PictureSpots::PictureSpots(const std::vector<SpotLook>& spots, double area_units2)
    : area_units2_(area_units2) {
  double count = 0.0;
  double sum_of_logs = 0.0;
  for (const SpotLook& spot : spots) {
    if (spot.evenness >= kLeastEvenness) places_.push_back(spot.at_units);
    if (spot.evenness < kLeastEvenness || spot.harder_by >= -kSofterBy) continue;
    count += 1.0;
    sum_of_logs += std::log(spot.evenness / kLeastEvenness);
  }
  power_ =
      std::clamp((count + kPriorSpots) / (sum_of_logs + kPriorSpots / kPriorPower), kLeastPower, kMostPower);
  log10_count_ = std::log10((count + 1.0) / kShareSofter);
}

// log10 of how many times as many of the picture's own lie round a place as in the mean: as the square of how
// many times as many spots do. A spot is no company to itself.
double PictureSpots::log10_company(Point at_units) const {
  const double own_area = 2.0 * std::numbers::pi * kCompanyUnits * kCompanyUnits;
  double near = 0.0;
  for (const Point& place : places_) {
    const double apart = distance(place, at_units);
    if (apart > 0.0) near += std::exp(-0.5 * apart * apart / (kCompanyUnits * kCompanyUnits));
  }
  const double mean = static_cast<double>(places_.size()) * std::min(1.0, own_area / area_units2_);
  return kCompanyCounts * std::log10((near + kCompanyPrior) / (mean + kCompanyPrior));
}

double PictureSpots::log10_expected(const SpotLook& spot) const {
  const double evenness = std::max(spot.evenness, kLeastEvenness);
  const double log10_as_even = log10_count_ - power_ * std::log10(evenness / kLeastEvenness);
  return log10_as_even + log10_sharper(spot.harder_by) + log10_company(spot.at_units);
}

}  // namespace platewise
