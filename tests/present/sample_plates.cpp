#include "present/sample_plates.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr double kWidth_mm = 127.0;
constexpr double kHeight_mm = 102.0;
constexpr double kRim_mm = 4.0;
constexpr double kSupport = 1.35;

// Discs of many sizes and tones: details to align by, tones from shadow to light.
cv::Mat drawn_scene(int width, int height, double px_per_mm, double shift_mm) {
  cv::Mat density(height, width, CV_32FC1, cv::Scalar(1.15));
  cv::RNG random(20);
  for (int i = 0; i < 420; ++i) {
    const double x = random.uniform(0.0, kWidth_mm) + shift_mm;
    const double y = random.uniform(0.0, kHeight_mm) + shift_mm / 2;
    const double radius = random.uniform(0.8, 7.0);
    const double tone = random.uniform(0.5, 1.25);
    cv::circle(density, {static_cast<int>(x * px_per_mm), static_cast<int>(y * px_per_mm)},
               static_cast<int>(radius * px_per_mm), cv::Scalar(tone), cv::FILLED, cv::LINE_AA);
  }
  cv::GaussianBlur(density, density, {0, 0}, 0.12 * px_per_mm);
  return density;
}

PlateDensity sample_density(const SamplePlate& sample) {
  const double px_per_mm = sample.long_side_px / kWidth_mm;
  const int width = sample.long_side_px;
  const int height = static_cast<int>(std::lround(kHeight_mm * px_per_mm));
  cv::Mat density = drawn_scene(width, height, px_per_mm, sample.shift_mm) - sample.lighter;
  const int rim = static_cast<int>(kRim_mm * px_per_mm);
  cv::Mat framed(height, width, CV_32FC1, cv::Scalar(1.30));
  const cv::Rect inside(rim, rim, width - 2 * rim, height - 2 * rim);
  density(inside).copyTo(framed(inside));
  cv::Mat grain(framed.size(), CV_32FC1);
  cv::RNG random(sample.seed);
  random.fill(grain, cv::RNG::NORMAL, 0.0, 0.02);
  PlateDensity plate;
  plate.image = {framed + grain, px_per_mm};
  return plate;
}

Regions sample_regions(const DensityImage& image) {
  Regions regions;
  const int rim = static_cast<int>(kRim_mm * image.px_per_unit);
  regions.plate.inside = regions.film.inside = cv::Mat(image.density.size(), CV_8UC1, cv::Scalar(255));
  regions.picture.inside = cv::Mat::zeros(image.density.size(), CV_8UC1);
  regions.picture.inside({rim, rim, image.cols() - 2 * rim, image.rows() - 2 * rim}) = 255;
  regions.image_area_units = Polygon{{kRim_mm, kRim_mm},
                                     {kWidth_mm - kRim_mm, kRim_mm},
                                     {kWidth_mm - kRim_mm, kHeight_mm - kRim_mm},
                                     {kRim_mm, kHeight_mm - kRim_mm}};
  return regions;
}

Tones sample_tones(const SamplePlate& sample) {
  Tones tones;
  tones.calibrated = true;
  tones.support_seen = true;
  tones.support_density = Quantity{kSupport, 0.02};
  tones.margin_density = Quantity{1.30, 0.02};
  tones.floor_density = Quantity{1.24 - sample.lighter, 0.02};
  tones.midtone_density = Quantity{1.02 - sample.lighter, 0.02};
  tones.highlight_density = Quantity{0.60 - sample.lighter, 0.02};
  tones.range = Quantity{0.64, 0.02};
  tones.fog = Quantity{0.11 + sample.lighter, 0.03};
  tones.margin_fog = Quantity{0.05, 0.03};
  tones.floor_over_margin = Quantity{0.06 + sample.lighter, 0.02};
  tones.empty_shadow_fraction = 0.04;
  tones.blocked_highlight_fraction = 0.004;
  constexpr int kBins = 60;
  for (int i = 0; i <= kBins; ++i) tones.histogram.edges.push_back(0.3 + i * 0.02);
  for (int i = 0; i < kBins; ++i) {
    const double d = 0.31 + i * 0.02 + sample.lighter;
    const bool inside = d > 0.5 && d < 1.26;
    tones.histogram.share.push_back(inside ? 0.02 + 0.02 * std::sin(d * 9.0) * std::sin(d * 9.0) : 0.0);
  }
  return tones;
}

Fault sample_fault(std::string id, double x, double y, double size, double severity) {
  Fault fault{.id = std::move(id), .box_origin = {x, y}, .box_width = size, .box_height = size};
  fault.area = size * size;
  fault.severity = severity;
  fault.confidence = 0.9;
  fault.outline_units = {{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}};
  fault.likely_causes = {"Cause one of " + fault.id, "Cause two of " + fault.id};
  fault.remedies = {"Remedy of " + fault.id};
  fault.cautions = {"Caution of " + fault.id};
  return fault;
}

Faults sample_faults(const SamplePlate& sample) {
  Faults faults;
  const auto scatter = [&](std::size_t count, const char* id, double size, double severity) {
    for (std::size_t i = 0; i < count; ++i) {
      const auto k = static_cast<double>(i);
      const double x = 6.0 + std::fmod(k * 37.7, kWidth_mm - 20.0);
      const double y = 6.0 + std::fmod(k * 23.3 + size * 7.0, kHeight_mm - 20.0);
      faults.found.push_back(sample_fault(id, x, y, size, severity / (1.0 + 0.1 * k)));
    }
  };
  scatter(sample.comets, "comet", 5.0, 0.6);
  scatter(sample.pinholes, "pinhole", 0.4, 0.3);
  scatter(sample.dust_specks, "dust_speck", 0.6, 0.2);
  return faults;
}

PlateCurve sample_curve(double development_s, double slope, double fog) {
  PlateCurve curve;
  curve.development_s = development_s;
  curve.exposure_s = 10.0;
  curve.model = {.fog = fog, .amplitude = 0.9, .slope = slope, .middle = -1.2, .asymmetry = 1.0};
  curve.gamma = {curve.model.gamma(), 0.05};
  for (int i = 0; i <= 12; ++i) {
    const double x = -2.4 + 0.2 * i;
    curve.steps.push_back({x, kSupport - curve.model.silver(x), 0.01});
  }
  return curve;
}

Recommendation sample_advice() {
  Recommendation advice;
  advice.diagnosis = Diagnosis::underexposed_overdeveloped;
  advice.probability[static_cast<std::size_t>(Diagnosis::underexposed_overdeveloped)] = 0.72;
  advice.probability[static_cast<std::size_t>(Diagnosis::underexposed)] = 0.28;
  advice.exposure = {
      .change = 1.0, .low = 0.7, .high = 1.3, .from_s = 10.0, .to_s = 20.0, .to_exact_s = 20.0};
  advice.development = {
      .change = -30.0, .low = -40.0, .high = -20.0, .from_s = 24.0, .to_s = 17.0, .to_exact_s = 16.8};
  advice.exposure_error_stops = -1.0;
  advice.exposure_error_u = 0.3;
  advice.because = {"The shadows are empty and the margin is veiled.", "The lights are full."};
  advice.alternatives = {"Make a strip plate: 10, 14, 20, 28 s on one plate."};
  return advice;
}

Grade sample_grade() {
  return {.overall = 52,
          .exposure = 55,
          .development = 60,
          .fog = 78,
          .coating = 91,
          .cleanliness = 64,
          .because = {"Exposure: about one stop short.", "Cleanliness: comets."}};
}

}  // namespace

PlateScore sample_plate(const SamplePlate& sample) {
  PlateScore score;
  score.scan.path = sample.file_name;
  score.scan.sha256 = fmt::format("{:064x}", sample.seed * 0x9E3779B97F4A7C15U);
  std::rotate(score.scan.sha256.begin(), score.scan.sha256.begin() + 48, score.scan.sha256.end());
  score.scan.width_px = 5000;
  score.scan.height_px = 4016;
  score.scan.bits = 16;
  score.scan.colour_profile = "grey";
  score.scan.resolution_dpi = 1000.0;
  score.kind = sample.kind;
  score.note = sample.note;
  score.settings.exposure_s = 10.0;
  score.settings.development_s = 24.0;
  score.outline.found = true;
  score.outline.confidence = 0.97;
  score.outline.corners_px = rectangle(5000, 4016);
  score.outline.scale = {
      .millimetres = true, .width_units = kWidth_mm, .height_units = kHeight_mm, .size_name = "4x5in"};
  score.density = sample_density(sample);
  score.regions = sample_regions(score.density->image);
  score.tones = sample_tones(sample);
  score.faults = sample_faults(sample);
  if (sample.curves) score.curves = {sample_curve(24.0, 3.4, 0.09), sample_curve(16.0, 2.9, 0.05)};
  score.recommendation = sample_advice();
  score.grade = sample_grade();
  score.cautions = {"Potassium cyanide must never meet acid."};
  score.warnings = {"The upper right corner of the plate is cut off by the scan."};
  return score;
}

std::vector<PlateScore> sample_series(std::size_t plates, int long_side_px) {
  std::vector<PlateScore> series;
  for (std::size_t i = 0; i < plates; ++i) {
    const auto k = static_cast<double>(i);
    SamplePlate sample{.file_name = fmt::format("plate-{}.tif", i + 1), .seed = i + 1};
    sample.lighter = 0.01 * std::fmod(k * 3.0, 5.0) + (i + 1 == plates ? 0.2 : 0.0);
    sample.shift_mm = std::fmod(k * 1.7, 4.0);
    sample.long_side_px = long_side_px;
    sample.curves = i == 0;
    sample.pinholes = 5 + 9 * (i % 3);
    series.push_back(sample_plate(sample));
    series.back().recommendation->exposure_error_stops = -1.0 + 0.1 * std::fmod(k * 3.0, 5.0);
  }
  return series;
}

}  // namespace platewise
