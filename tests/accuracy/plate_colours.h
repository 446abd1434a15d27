#pragma once

#include <opencv2/core.hpp>
#include <string_view>
#include <vector>

#include "accuracy/plate_faults.h"
#include "accuracy/random.h"

namespace platewise::heldout {

// What a colour scan of a plate shows besides its silver: faults of colour, and colours that are none. Drawn
// in CIELAB (D65), so that a stain is as many just noticeable differences (2.3, Mahy 1994, from memory) in
// the lights as in the darks; the faults' contrast-to-noise counts those.
struct Colours {
  std::uint64_t seed = 0;
  bool iron = true;           // the support can rust
  bool ruby_glass = false;    // an ambrotype's support is dark red
  bool tinted = false;        // by hand: rouge on the lights, gilt dots, a washed cloth
  bool off_register = false;  // the scanner's channels do not quite lie on each other, its lamp is uneven
  std::vector<WantedFault> faults;  // of colour_faults()
};

inline constexpr std::string_view kColourFaults[] = {"iron_stain", "solarised_blue", "underfix_veil"};
[[nodiscard]] bool is_colour_fault(std::string_view id);

// Marks of the colour faults, drawn into `light` (CV_32FC3 linear R,G,B of the canvas' raster).
[[nodiscard]] std::vector<TrueMark> draw_colour_faults(Random& random, const Canvas& canvas, cv::Mat& light,
                                                       const Colours& colours);

// Rouge, gilt and a washed cloth, as period portraits carry them: no fault.
void tint_by_hand(Random& random, const Canvas& canvas, cv::Mat& light);

// Red and blue moved and stretched against green by a part of a pixel, and a lamp that is warmer on one side.
[[nodiscard]] cv::Mat off_register(Random& random, const cv::Mat& light);

}  // namespace platewise::heldout
