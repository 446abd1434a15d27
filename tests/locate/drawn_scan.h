#pragma once

#include <cstdint>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/read/scan.h"

namespace platewise::drawn {

// Plates drawn on grounds, only as real as the outline search needs: its edge, its rim, a busy picture, the
// ground's texture, light, blur and noise. The truth is the quadrilateral of the straight sides.

enum class Ground { white_bed, black_bed, grey_bed, wood, dark_wood, cloth, paper };

struct Plate {
  Quad corners_px{};  // TL, TR, BR, BL in the drawn scan
  double width_mm = 82.5;
  double height_mm = 107.9;
  double rim_mm = 3.0;         // covered by the holder; varies by +-40% from side to side; 0 none
  double rim_corner_mm = 4.0;  // radius of the picture's inner corners
  double rim_light = 0.045;    // linear luminance of the covered, dark rim
  double white_light = 0.42;   // of the picture's lights
  double ragged_mm = 0.0;      // amplitude of the cut edge's wandering
  double round_mm = 0.0;       // radius of the plate's own corners
  double clip_mm = 0.0;        // two corners cut off by so much
  bool broken_corner = false;
  int specks = 60;
  double bare_mm = 0.0;  // size of an uncovered corner (darker than the rim)
  std::uint64_t seed = 1;
};

struct Scene {
  int width_px = 900;
  int height_px = 1100;
  Ground ground = Ground::white_bed;
  double ground_light = -1.0;  // overrides the ground's luminance
  std::vector<Plate> plates;
  double uneven_light = 0.0;  // the light falls off by this share across the picture
  double shadow = 0.0;        // depth of the soft shadow on the lower right of each plate
  double blur_px = 0.7;
  double noise = 0.004;   // sigma at full scale; a quarter of it remains in the blacks
  double exposure = 1.0;  // factor on all light
  bool colour = false;
  int bits = 16;  // 8: quantised on the sRGB curve
  std::uint64_t seed = 1;
};

[[nodiscard]] Scan scan_of(const Scene& scene);

// A rectangle of the plate's aspect, `long_px` high, turned counter-clockwise about `centre`.
[[nodiscard]] Quad turned_rectangle(Point centre, double width_px, double height_px, double angle_deg);

// The same, seen by a camera from `tilt` to one side (0 none, 0.3 strong).
[[nodiscard]] Quad in_perspective(Quad rectangle, Point centre, double tilt_x, double tilt_y);

// Largest distance between corresponding corners, in percent of the truth's diagonal.
[[nodiscard]] double corner_error_percent(const Quad& found, const Quad& truth);

// Pictures without a plate.
enum class NotAPlate { empty_bed, gradient, noise, page_of_text, screenshot, landscape, branches, bricks };
[[nodiscard]] Scan scan_without_plate(NotAPlate what, std::uint64_t seed);

}  // namespace platewise::drawn
