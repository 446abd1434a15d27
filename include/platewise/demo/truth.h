#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/plate.h"
#include "platewise/demo/device_model.h"
#include "platewise/demo/process_model.h"

namespace platewise {

// A fault that was drawn. Millimetres in the plate frame.
struct TrueFault {
  std::string id;  // of handbook/faults.csv
  Polygon outline_mm;
  std::vector<Polygon> other_parts_mm;  // smaller ones of the same fault; not part of the JSON
  Point box_origin_mm;
  double box_width_mm = 0.0;
  double box_height_mm = 0.0;
  std::optional<double> length_mm;
  std::optional<double> width_mm;
  std::optional<double> angle_deg;  // as the contract counts: counter-clockwise on the screen
  // Change of density it really makes where it is plainest (98th percentile within the outline), signed:
  // positive = denser. A thinned film over black changes nothing: such a fault cannot be seen.
  double contrast = 0.0;
  double colour_contrast = 0.0;  // the most it changes log10 of red or blue over green; 0: no fault of colour
  int count = 1;                 // of specks, where one entry stands for a group
};

// One dot, fleck or fibre, of a group of faults or of the ordinary ones that every plate carries.
struct TrueSpeck {
  std::string id;      // pinhole or dust_speck
  Polygon outline_mm;  // box round it
  double length_mm = 0.0;
};

// One step of a wedge or strip plate as it lies on the plate.
struct TrueStep {
  double log_exposure = 0.0;          // relative: 0 at a wedge's density 0; log10 seconds on a strip plate
  double process_log_exposure = 0.0;  // on the process's own axis; of the aim's highlight on a strip plate
  double density = 0.0;               // by the process model, even film
  Quad corners_mm{};
  Quad corners_px{};
};

// What is true of a rendered plate. Tones follow the contract's definitions, measured on the density map
// before grain, faults and scanner, averaged over 5 x 5 pixels of 1/12 mm, over the covered picture without
// faults, as far as the scan shows it (an overhanging plate is cropped).
struct PlateTruth {
  PlateKind kind = PlateKind::tintype;
  Light light = Light::reflected;
  std::string medium;
  std::string scene;
  Quad corners_px{};      // TL, TR, BR, BL; where the lines through the sides meet, maybe outside the scan
  double width_mm = 0.0;  // nominal; the plate frame is the quad's, stretched to this
  double height_mm = 0.0;
  double cut_width_mm = 0.0;  // as cut, mean of opposite sides
  double cut_height_mm = 0.0;
  double px_per_mm = 0.0;  // mean over the plate

  std::optional<Polygon>
      image_area_mm;  // the holder's opening, cut off at the plate's edge; none without a rim
  double covered_fraction = 1.0;
  std::vector<Corner> uncovered_corners;   // film starts more than 5% of the short side down the diagonal
  std::array<double, 4> bare_corner_mm{};  // how far down each corner's diagonal the bare support reaches
  bool support_visible = false;            // at least 10 mm2 of bare support on the plate and in the scan

  double support_density = 0.0;
  std::optional<double> margin_density;
  double floor_density = 0.0;
  double midtone_density = 0.0;
  double highlight_density = 0.0;
  double range = 0.0;
  double fog = 0.0;
  std::optional<double> margin_fog;
  std::optional<double> floor_over_margin;

  double exposure_error_stops = 0.0;  // against the contract's aim; positive = too much
  double development_factor = 1.0;    // time given / right time
  double extra_fog = 0.0;
  std::optional<double> exposure_s;  // what the photographer noted
  std::optional<double> development_s;

  ProcessParameters process;
  DeviceModel device;
  std::vector<TrueFault> faults;
  std::vector<TrueSpeck> specks;  // one by one; not part of the JSON
  std::vector<TrueStep> steps;    // of a wedge or strip plate
};

// As JSON text ("platewise.truth/1"), two spaces of indent, keys in alphabetical order.
[[nodiscard]] std::string truth_json(const PlateTruth& truth);

}  // namespace platewise
