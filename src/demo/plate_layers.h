#pragma once

#include <array>
#include <vector>

#include "dice.h"
#include "platewise/demo/plate_options.h"
#include "platewise/demo/truth.h"
#include "platewise/raster/image.h"

namespace platewise {

// The sheet that plates are drawn on: the nominal plate with a border round it for ragged edges. Millimetres
// count from the nominal top-left corner; `cut` is where the sides really meet.
struct PlateFrame {
  double width_mm = 0.0;
  double height_mm = 0.0;
  double border_mm = 4.0;
  double px_per_mm = 12.0;
  Quad cut{};

  [[nodiscard]] cv::Size size() const;
  [[nodiscard]] double mm_x(int column) const { return (column + 0.5) / px_per_mm - border_mm; }
  [[nodiscard]] double mm_y(int row) const { return (row + 0.5) / px_per_mm - border_mm; }
  [[nodiscard]] Point px(Point mm) const { return px_per_mm * (mm + Point{border_mm, border_mm}); }
};

// What the plate is made of, pixel by pixel (CV_32FC1 in the frame's size). Faults change these layers as the
// mishap would: they thin the film, slow the developer, add light, tear holes, drop dust.
struct PlateLayers {
  PlateFrame frame;
  cv::Mat plate;             // 0..1 inside the cut
  cv::Mat opening;           // 0..1 light let through by the holder
  cv::Mat film;              // 0..1 collodion
  cv::Mat thickness;         // factor on the silver of the image
  cv::Mat veil;              // tau added
  cv::Mat dust;              // 0..1 covered by something on top
  cv::Mat dust_density;      // of that
  cv::Mat faulty;            // CV_8UC1
  bool transmitted = false;  // a negative, seen by light that goes through
  bool iron = true;          // the support is a sheet of iron
  cv::Mat image_tau;         // of the picture before any fault: what follows its tones
  cv::Mat stain;             // CV_32FC3 density added to red, green and blue; empty: none
  cv::Mat milk;              // yellow-white light sent back; empty: none
  std::vector<TrueSpeck> specks;
  cv::Mat seen;                // CV_8UC1 what of the sheet the scan shows
  Polygon opening_outline_mm;  // empty without a rim
};

// Distance to the inside of a quad (mm, negative outside) with corners rounded to `radius`.
class InsideDistance {
 public:
  InsideDistance(const Quad& quad, double radius_mm);
  [[nodiscard]] double operator()(Point at) const;

 private:
  struct Side {
    double x = 0.0, y = 0.0, offset = 0.0;
    [[nodiscard]] double operator()(Point at) const { return x * at.x + y * at.y + offset; }
  };
  std::array<Side, 4> sides_{};  // top, right, bottom, left
  double radius_ = 0.0;
};

[[nodiscard]] PlateLayers blank_layers(const PlateOptions& options, Dice dice);

// Draws the faults asked for, in order, and the ordinary specks.
[[nodiscard]] std::vector<TrueFault> spoil(PlateLayers& layers, const PlateOptions& options, Dice dice);

}  // namespace platewise
