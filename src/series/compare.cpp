#include "platewise/series/compare.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "advice_outcome.h"
#include "platewise/align/align.h"
#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

constexpr double kLogTwo = 0.30103;
constexpr int kComparePx = 300;  // long side: exposure is no matter of detail
constexpr std::size_t kLeastPixels = 400;

Quantity gamma_of(const PlateScore& plate) {
  if (!plate.curves.empty()) return plate.curves.front().gamma;
  return is_positive(plate.kind) ? Quantity{1.2, 0.25} : Quantity{1.3, 0.3};
}

// What the two plates' densities are counted from: the rim or the bare support where both plates show it,
// else the scanner's own zero.
struct Reference {
  double first = 0.0;
  double second = 0.0;
  double u = 0.0;
};

Reference common_reference(const Tones& first, const Tones& second, const PlateDensity& a,
                           const PlateDensity& b) {
  if (first.margin_density && second.margin_density) {
    return {first.margin_density->value, second.margin_density->value, 0.02};
  }
  if (first.support_seen && second.support_seen) {
    return {first.support_density->value, second.support_density->value, 0.02};
  }
  return {0.0, 0.0, std::hypot(a.offset.u, b.offset.u)};
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

Homography scaling(double factor) {
  Homography map;
  map.matrix(0, 0) = map.matrix(1, 1) = factor;
  return map;
}

// Differences of image silver, second minus first, over the mid-tones that both plates hold.
std::vector<double> silver_differences(const PlateScore& first, const PlateScore& second,
                                       const Alignment& alignment, const Reference& reference) {
  const DensityImage& a = first.density->image;
  const DensityImage& b = second.density->image;
  const double shrink = std::max(1.0, static_cast<double>(std::max(a.rows(), a.cols())) / kComparePx);
  const int width = static_cast<int>(a.cols() / shrink);
  const int height = static_cast<int>(a.rows() / shrink);
  const Homography a_from_small = scaling(shrink);
  Homography b_from_small;
  b_from_small.matrix = scaling(b.px_per_unit).matrix * alignment.second_from_first.matrix *
                        scaling(shrink / a.px_per_unit).matrix;
  const cv::Mat small_a = resampled(a.density, a_from_small, width, height);
  const cv::Mat small_b = resampled(b.density, b_from_small, width, height);
  const double sign = is_positive(first.kind) ? 1.0 : -1.0;
  const auto silver = [&](float density, double zero) {
    return sign * (zero - static_cast<double>(density));
  };
  const Tones& tones = *first.tones;
  const double floor = silver(static_cast<float>(tones.floor_density->value), reference.first);
  const double range = tones.range->value;
  std::vector<double> differences;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double s_a = silver(small_a.at<float>(y, x), reference.first);
      const double s_b = silver(small_b.at<float>(y, x), reference.second);
      const bool mid_tone = s_a > floor + 0.25 * range && s_a < floor + 0.75 * range;
      if (mid_tone && std::isfinite(s_b)) differences.push_back(s_b - s_a);
    }
  }
  return differences;
}

std::optional<Quantity> exposure_difference(const PlateScore& first, const PlateScore& second,
                                            const Alignment& alignment,
                                            const std::optional<Quantity>& veil_change) {
  if (!first.tones->floor_density || !first.tones->range) return std::nullopt;
  const Reference reference = common_reference(*first.tones, *second.tones, *first.density, *second.density);
  std::vector<double> differences = silver_differences(first, second, alignment, reference);
  if (differences.size() < kLeastPixels) return std::nullopt;
  const double median = median_of(differences);
  for (double& value : differences) value = std::abs(value - median);
  const double scatter = 1.4826 * median_of(std::move(differences));
  // A rim as reference already carries the chemistry's veil; else what the veil changed is not exposure.
  const bool from_rim = first.tones->margin_density && second.tones->margin_density;
  const Quantity veil = veil_change && !from_rim ? *veil_change : Quantity{0.0, 0.03};
  const Quantity gamma = gamma_of(first);
  const double silver_change = median - (from_rim ? 0.0 : veil.value);
  const double stops = silver_change / (gamma.value * kLogTwo);
  // Independent details are far fewer than pixels: about one in a hundred.
  const double u_silver = std::sqrt(scatter * scatter / 100.0 + reference.u * reference.u + veil.u * veil.u);
  return Quantity{stops, std::hypot(u_silver / (gamma.value * kLogTwo), stops * gamma.u / gamma.value)};
}

std::optional<Quantity> change(const std::optional<Quantity>& from, const std::optional<Quantity>& to) {
  if (!from || !to) return std::nullopt;
  return *to - *from;
}

void count_faults(const Faults& from, const Faults& to, PlateChange& change) {
  std::map<std::string, int> more;
  for (const Fault& fault : to.found) ++more[fault.id];
  for (const Fault& fault : from.found) --more[fault.id];
  for (const auto& [id, count] : more) {
    auto& list = count > 0 ? change.faults_appeared : change.faults_gone;
    list.insert(list.end(), static_cast<std::size_t>(std::abs(count)), id);
  }
}

PlateChange change_between(std::span<const PlateScore> plates, std::size_t from, std::size_t to) {
  PlateChange result{.from = from, .to = to};
  const PlateScore& first = plates[from];
  const PlateScore& second = plates[to];
  count_faults(first.faults, second.faults, result);
  if (!first.tones || !second.tones) return result;
  result.fog_change = change(first.tones->fog, second.tones->fog);
  result.highlight_change = change(first.tones->highlight_density, second.tones->highlight_density);
  if (first.kind != second.kind || !first.density || !second.density) return result;
  const auto alignment =
      aligned(first.density->image, first.regions->picture, second.density->image, second.regions->picture);
  if (!alignment) return result;
  result.same_scene = true;
  result.to_from_from = alignment->second_from_first;
  const auto veil =
      result.fog_change ? result.fog_change : change(first.tones->margin_fog, second.tones->margin_fog);
  result.exposure_difference_stops = exposure_difference(first, second, *alignment, veil);
  return result;
}

void add_drift(std::vector<Drift>& all, std::string quantity, std::vector<double> points) {
  if (points.size() < kDriftLeastPlates) return;
  Drift drift{.quantity = std::move(quantity), .limits = individuals_limits(points)};
  drift.points = std::move(points);
  drift.signals = western_electric(drift.points, drift.limits);
  all.push_back(std::move(drift));
}

std::optional<double> tone_value(const PlateScore& plate, std::optional<Quantity> Tones::*quantity) {
  if (!plate.tones || !((*plate.tones).*quantity)) return std::nullopt;
  return ((*plate.tones).*quantity)->value;
}

std::vector<Drift> drifts(std::span<const PlateScore> plates) {
  struct Row {
    const char* name;
    std::optional<double> (*value)(const PlateScore&);
  };
  static constexpr Row kRows[] = {
      {"fog", [](const PlateScore& p) { return tone_value(p, &Tones::fog); }},
      {"margin_fog", [](const PlateScore& p) { return tone_value(p, &Tones::margin_fog); }},
      {"floor_over_margin", [](const PlateScore& p) { return tone_value(p, &Tones::floor_over_margin); }},
      {"range", [](const PlateScore& p) { return tone_value(p, &Tones::range); }},
      {"highlight_density", [](const PlateScore& p) { return tone_value(p, &Tones::highlight_density); }},
      {"exposure_error_stops", [](const PlateScore& p) {
         return p.recommendation ? std::optional(p.recommendation->exposure_error_stops) : std::nullopt;
       }}};
  std::vector<Drift> all;
  for (const Row& row : kRows) {
    std::vector<double> points;
    for (const PlateScore& plate : plates) {
      if (const auto value = row.value(plate)) points.push_back(*value);
    }
    // A gap would shift the indices of the signals.
    if (points.size() == plates.size()) add_drift(all, row.name, std::move(points));
  }
  return all;
}

}  // namespace

SeriesComparison compare(std::span<const PlateScore> plates) {
  SeriesComparison comparison;
  for (std::size_t i = 1; i < plates.size(); ++i)
    comparison.changes.push_back(change_between(plates, i - 1, i));
  comparison.advice = advice_outcomes(plates);
  comparison.drift = drifts(plates);
  return comparison;
}

}  // namespace platewise
