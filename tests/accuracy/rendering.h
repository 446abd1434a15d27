#pragma once

#include <array>
#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "accuracy/photographs.h"
#include "platewise/core/geometry.h"
#include "platewise/core/plate.h"
#include "platewise/density/device_curve.h"

namespace platewise::heldout {

// How the plate lies before the scanner or camera.
enum class Layout {
  white_lid,
  black_bed,            // the plate's border shows against the bed
  black_rim_black_bed,  // nothing shows: the rim, or bare support, is as black as the bed
  frame_filling,        // all four sides at or outside the frame
  overhanging,          // one or two sides outside the frame
  two_plates,
  light_table,  // negative, bright surround
  masked,       // negative, black card around it
  photo
};
inline constexpr const char* kLayoutNames[] = {"white lid",     "black bed",   "black rim on black bed",
                                               "frame filling", "overhanging", "two plates",
                                               "light table",   "masked",      "photo"};

// What is true of a rendering. Lengths in scan pixels unless the name says millimetres. Masks have the size
// of the scan. Tones follow the contract's definitions, on the part of the plate that the scan shows.
struct Truth {
  PlateKind kind = PlateKind::tintype;
  Layout layout = Layout::white_lid;
  bool photo = false;
  double width_mm = 0.0;
  double height_mm = 0.0;
  double px_per_mm = 0.0;  // on the plate, about
  Quad corners_px{};       // sides outside the frame replaced by the frame's own
  std::array<bool, 4> side_in_frame{};
  std::array<double, 4>
      side_contrast{};          // border against surround in noise sigmas; 0 for sides out of the frame
  double evidence_share = 0.0;  // rim, bare support and film edge: share of the frame
  cv::Mat plate;
  cv::Mat film;
  cv::Mat picture;
  cv::Mat glare;
  bool has_rim = false;
  bool support_seen = false;
  double covered_fraction = 0.0;
  double support = 0.0;
  std::optional<double> margin;
  double floor = 0.0;
  double midtone = 0.0;
  double highlight = 0.0;
  double fog = 0.0;
  double range = 0.0;
  std::optional<double> floor_over_margin;  // signed: grain alone can put the floor a little below the margin

  // The border differs from the surround by at least 3 noise sigmas on at least three sides.
  [[nodiscard]] bool border_shows() const;
};

struct Rendering {
  PictureFile file;
  Truth truth;
  std::optional<DeviceCurve> device;  // 16-bit flatbed scans: as measured on a wedge in the same scanner
  std::string story;                  // one line for people
};

// The index-th rendering of a seed. Layouts, kinds and bit depths go round in fixed strata, all else is
// drawn.
[[nodiscard]] Rendering rendering(std::uint64_t seed, int index,
                                  const std::vector<std::filesystem::path>& photographs);

}  // namespace platewise::heldout
