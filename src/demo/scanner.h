#pragma once

#include "dice.h"
#include "platewise/core/geometry.h"
#include "platewise/demo/plate_options.h"
#include "platewise/raster/image.h"

namespace platewise {

// What lies before the sensor: linear light of a white at gain 1, and its colour.
struct Sight {
  cv::Mat light;  // CV_32FC1: 10^(-contrast D), or the surround's reflectance
  cv::Mat warm;   // CV_32FC1: 0 neutral .. 1 cream of silver, more for wood
  cv::Mat ruby;   // CV_32FC1 share of the light that comes from dark red glass; empty: none
  cv::Mat stain;  // CV_32FC3 density that stains add to red, green and blue; empty: none
  cv::Mat milk;   // CV_32FC1 yellow-white light that remains of the fixing send back; empty: none
};

// The two last of these on the plate's own sheet.
struct PlateColours {
  cv::Mat stain;
  cv::Mat milk;
};

// Turns light into code values: gain, flare, blur, noise, tone curve, bits, colour.
[[nodiscard]] cv::Mat scanned(const Sight& sight, const DeviceModel& device, Dice dice);

// Where the plate comes to lie, and what is round it.
struct Bedding {
  cv::Size size;          // of the scan
  Homography px_from_mm;  // scan pixels from plate millimetres
};
[[nodiscard]] Bedding lay_down(const PlateOptions& options, Dice dice);

// The plate (light and coverage on its own sheet) laid on its bed or table.
[[nodiscard]] Sight laid_on_bed(const cv::Mat& plate_light, const cv::Mat& plate_cover,
                                const Homography& px_from_sheet, const Bedding& bedding,
                                const PlateOptions& options, Dice dice, const PlateColours& colours = {});

// A blank sheet in the same light.
[[nodiscard]] Sight blank_sheet(const Bedding& bedding, const PlateOptions& options, Dice dice);

}  // namespace platewise
