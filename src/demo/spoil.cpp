#include <array>
#include <cmath>

#include "fault_brush.h"

namespace platewise {
namespace {

struct NamedPainter {
  std::string_view id;  // of handbook/faults.csv
  FaultPainter paint;
  bool group;  // `count` dots make one entry; else `count` entries
};

constexpr std::array kPainters{
    NamedPainter{"pinhole", paint_pinholes, true},
    NamedPainter{"dust_speck", paint_dust, true},
    NamedPainter{"comet", paint_comet, false},
    NamedPainter{"scratch", paint_scratch, false},
    NamedPainter{"pour_ridges", paint_pour_ridges, false},
    NamedPainter{"stall_line", paint_stall_line, false},
    NamedPainter{"light_leak", paint_light_leak, false},
    NamedPainter{"dip_streaks", paint_dip_streaks, false},
    NamedPainter{"bath_halt_line", paint_bath_halt_line, false},
    NamedPainter{"developer_splash", paint_developer_splash, false},
    NamedPainter{"air_bell", paint_air_bell, false},
    NamedPainter{"fingerprint", paint_fingerprint, false},
    NamedPainter{"tear_hole", paint_tear_hole, false},
    NamedPainter{"oyster_stain", paint_oyster_stain, false},
    NamedPainter{"edge_stain", paint_edge_stain, false},
    NamedPainter{"drying_mark", paint_drying_mark, false},
    NamedPainter{"crapy_lines", paint_crapy_lines, false},
    NamedPainter{"frilling", paint_frilling, false},
    NamedPainter{"iron_stain", paint_iron_stain, false},
    NamedPainter{"solarised_blue", paint_solarised_blue, false},
    NamedPainter{"underfix_veil", paint_underfix_veil, false},
    NamedPainter{"uncovered_corner", paint_missed_side, false},
};

}  // namespace

std::vector<std::string> drawable_faults() {
  std::vector<std::string> ids;
  ids.reserve(std::size(kPainters));
  for (const NamedPainter& painter : kPainters) ids.emplace_back(painter.id);
  return ids;
}

std::vector<TrueFault> spoil(PlateLayers& layers, const PlateOptions& options, Dice dice) {
  std::vector<TrueFault> drawn;
  std::uint64_t place = 0;
  for (const FaultOptions& fault : options.faults) {
    Dice own = dice.part(++place);
    for (const NamedPainter& painter : kPainters) {
      if (painter.id != fault.id) continue;
      const int times = painter.group ? 1 : fault.count;
      for (int i = 0; i < times; ++i) drawn.push_back(painter.paint(layers, fault, own));
    }
  }
  if (options.hand_tinted) {
    Dice brush = dice.part(1001);
    paint_hand_tint(layers, brush);
  }
  Dice specks = dice.part(1000);
  paint_ordinary_specks(layers, options.specks, specks);
  return drawn;
}

}  // namespace platewise
