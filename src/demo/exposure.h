#pragma once

#include "plate_layers.h"

namespace platewise {

// Scene and lens: log exposure so placed that the picture's 98th percentile gets the aim times the asked
// error.
[[nodiscard]] cv::Mat exposed(const PlateLayers& layers, const PlateOptions& options, Dice dice);

// The steps of a wedge or strip plate: where they lie on the sheet and what light they got.
[[nodiscard]] std::vector<TrueStep> exposed_steps(const PlateLayers& layers, const PlateOptions& options);

// tau of the image for a whole picture.
[[nodiscard]] cv::Mat developed(const cv::Mat& log_exposure, const ProcessParameters& process, double factor);

// Density of tau for a whole picture.
[[nodiscard]] cv::Mat density_of(const cv::Mat& tau, const ProcessParameters& process);

// The contract's aperture: mean over 5 x 5 pixels of 1/12 mm.
[[nodiscard]] cv::Mat contract_aperture(const cv::Mat& picture, double px_per_mm);
// Type-7 percentile (0..1) of the values where mask is set.
[[nodiscard]] double percentile(const cv::Mat& picture, const cv::Mat& mask, double share);
// Where the true tones are taken: picture, film, plate, away from every edge.
[[nodiscard]] cv::Mat tone_area(const PlateLayers& layers, bool without_faults);

}  // namespace platewise
