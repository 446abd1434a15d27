#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "accuracy/rendering.h"
#include "accuracy/table.h"
#include "platewise/density/plate_density.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/regions/regions.h"
#include "platewise/tones/tones.h"

namespace platewise::accuracy {

// All tones of one group of renderings.
class TonesAccuracy {
 public:
  void add(const Tones& tones, const heldout::Truth& truth);
  void print(std::ostream& out, const std::string& title) const;

  // Rows by name, for tests.
  [[nodiscard]] const Errors& row(const std::string& name) const;

 private:
  struct Row {
    std::string name;
    Errors errors;
  };
  Errors& row(const std::string& name);
  std::vector<Row> rows_;
};

// A mask of the scan in the plate frame of an outline. CV_8UC1.
[[nodiscard]] cv::Mat in_plate_frame(const cv::Mat& scan_mask, const PlateOutline& outline,
                                     const DensityImage& image);

// The regions as drawn, to measure the tones apart from the finding of the regions.
[[nodiscard]] Regions true_regions(const heldout::Truth& truth, const PlateOutline& outline,
                                   const DensityImage& image);

// Rim, bare support, picture and coverage against the truth, both in the plate frame.
class RegionsAccuracy {
 public:
  void add(const Regions& regions, const PlateDensity& plate, const PlateOutline& outline,
           const heldout::Truth& truth);
  void print(std::ostream& out, const std::string& title) const;

 private:
  int plates_ = 0;
  std::vector<double> covered_errors_;
  std::vector<double> picture_overlap_;
  std::vector<double> outline_overlap_;
  int rims_ = 0;
  int rims_seen_ = 0;
  int rimless_ = 0;
  int rims_made_up_ = 0;
  int bare_ = 0;
  int bare_seen_ = 0;
  int coated_ = 0;
  int bare_made_up_ = 0;
};

}  // namespace platewise::accuracy
