#pragma once

#include <functional>

#include "plate_layers.h"

namespace platewise {

// How one fault is painted: it changes the layers, marks what it touched, and says what it was.
// To add a fault: write a painter in faults_*.cpp, declare it below, add its line to kPainters in spoil.cpp.
using FaultPainter = TrueFault (*)(PlateLayers& layers, const FaultOptions& fault, Dice& dice);

TrueFault paint_pinholes(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_dust(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_comet(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_scratch(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_pour_ridges(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_stall_line(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_light_leak(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_dip_streaks(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_bath_halt_line(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_developer_splash(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_air_bell(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_fingerprint(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_tear_hole(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_frilling(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_missed_side(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_oyster_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_edge_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_drying_mark(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_crapy_lines(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_iron_stain(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_solarised_blue(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
TrueFault paint_underfix_veil(PlateLayers& layers, const FaultOptions& fault, Dice& dice);
void paint_hand_tint(PlateLayers& layers, Dice& dice);
void paint_ordinary_specks(PlateLayers& layers, int count, Dice& dice);

// Calls paint(at_mm, row, column) for every pixel within the box, clipped to the sheet.
void over_box(const PlateFrame& frame, Point low_mm, Point high_mm,
              const std::function<void(Point, int, int)>& paint);

// A point on the plate at least `away_mm` from its edge.
[[nodiscard]] Point somewhere(const PlateFrame& frame, double away_mm, Dice& dice);

// Marks an outline as faulty and gives it its box.
void mark_outline(PlateLayers& layers, TrueFault& fault);

// A rough ring about a centre: radius varies by `rough` (share).
[[nodiscard]] Polygon rough_ring(Point centre, double radius_x_mm, double radius_y_mm, double rough,
                                 Dice& dice);

// Where a plate's side is met, pointing inward: top, right, bottom, left.
struct SideSpot {
  Point root;
  Point inward;
  Point along;
};
[[nodiscard]] SideSpot side_spot(const PlateFrame& frame, int side, double share);

// Darkest and lightest that may lie on top of each other: takes `share` of a layer away.
void take_away(cv::Mat& layer, int y, int x, double share);

// A band along a line of points (mm), as an outline.
[[nodiscard]] Polygon band_outline(const Polygon& middle, double half_width_mm);

}  // namespace platewise
