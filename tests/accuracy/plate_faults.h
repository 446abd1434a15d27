#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/random.h"
#include "platewise/core/geometry.h"

namespace platewise::heldout {

// A fault to draw. Where its strength can be chosen, it is drawn so that its contrast is `cnr` times the
// noise after the working aperture; film that is gone is gone.
struct WantedFault {
  std::string id;
  double cnr = 5.0;
};

// A fault as drawn, in plate millimetres. `parts` are its outlines: one, or one for each streak of a family.
struct TrueMark {
  std::string id;
  std::vector<Polygon> parts_mm;
  double length_mm = 0.0;
  double width_mm = 0.0;
  double angle_deg = 0.0;  // of its length; degrees counter-clockwise on the screen
  double contrast = 0.0;   // density, after the aperture
  double cnr = 0.0;        // the same over the noise after the aperture
  bool ignored = false;    // counts neither way: off the film, or hidden under another
};

// The coated plate before grain, what the brushes work on. All mats CV_32FC1 of one size; the raster's (0,0)
// lies at (-border, -border) mm.
struct Canvas {
  cv::Mat silver;   // density of silver
  cv::Mat film;     // share of each pixel that is covered by film
  cv::Mat picture;  // 1 inside the holder's opening
  cv::Mat plate;    // share of each pixel that is plate
  double width_mm = 0.0;
  double height_mm = 0.0;
  double px_per_mm = 12.0;
  double border_mm = 3.0;
  double full_silver = 1.0;  // the most that development gives here
  bool positive = true;
  double bare_light_density = 1.3;  // the support's
  int drain_corner = 2;             // 0 top left, clockwise; where the collodion ran off
  int dip_edge = 2;                 // 0 top, clockwise; went into the bath first and stood lowest
  int pour_edge = 0;                // where the developer was poured on

  [[nodiscard]] cv::Size size() const { return silver.size(); }
  [[nodiscard]] Point corner_mm(int index) const;
};

// One outline of a brush stroke with what it says about itself.
struct Shape {
  std::vector<Polygon> parts_mm;
  double length_mm = 0.0;
  double width_mm = 0.0;
  double angle_deg = 0.0;
};

// What a brush wants to change at full strength. Empty mats: nothing.
struct Stroke {
  cv::Mat silver_added;  // may be negative
  cv::Mat film_removed;  // share
  std::vector<Shape> shapes;
};

using Brush = Stroke (*)(Random&, const Canvas&);

struct NamedBrush {
  std::string_view id;
  Brush draw;
};
[[nodiscard]] const std::vector<NamedBrush>& brushes();

// Standard deviation after the working aperture (5 x 5 pixels of 1/12 mm) of what is there without a picture,
// as a function of silver: grain and recording noise.
struct NoiseModel {
  double floor_sigma = 0.01;
  double silver_sigma = 0.01;    // for each square root of silver
  double aperture_share = 0.25;  // sigma after the aperture over sigma of a pixel
  double light_sigma = 0.0;      // of the recording after the aperture, in light
  [[nodiscard]] double at(double silver, double density) const;
};

// Measures marks that were drawn on the finished plate: contrast and ratio from densities before and after.
void measure_marks(std::vector<TrueMark>& marks, const Canvas& canvas, const cv::Mat& before,
                   const cv::Mat& after, const NoiseModel& noise);

// Draws the wanted faults one after the other on the canvas and says what is true of each.
[[nodiscard]] std::vector<TrueMark> draw_faults(Random& random, Canvas& canvas, const NoiseModel& noise,
                                                const std::vector<WantedFault>& wanted);

}  // namespace platewise::heldout
