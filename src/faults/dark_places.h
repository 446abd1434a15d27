#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "plain_step.h"
#include "platewise/faults/evidence.h"
#include "support_tone.h"

namespace platewise {

// Bevel and shadow along the plate's edge: no border is judged there.
inline constexpr double kPlateEdgeUnits = 0.7;

// The plate as places without film are looked for in it.
struct GapGround {
  cv::Mat silver;  // CV_32FC1
  cv::Mat smooth;  // over 5 x 5 pixels
  Rises rises;
  cv::Mat inner;    // CV_8UC1: of the plate, without its edge and glare
  cv::Mat opened;   // CV_8UC1: of `inner`, what the holder let light on; empty when no rim was seen
  cv::Mat film;     // CV_8UC1
  cv::Mat picture;  // CV_8UC1, part of the film
  // Every second pixel of every second row of `smooth`, `film` and `picture`, for shares.
  cv::Mat second_smooth, second_film, second_picture;
  cv::Mat border;  // CV_8UC1: where the film's own edge wanders along the plate's
  double least_step = 0.0;
  double grain = 0.0;
  double dark = 0.0;              // silver that only the darkest tenth of the film has less of
  std::optional<double> rim_low;  // smoothed silver that hardly any of the rim has less of
  double px_per_unit = 1.0;
};

// `from_edge` (CV_32FC1): distance from the plate's edge, pixels.
[[nodiscard]] GapGround gap_ground(const Evidence& evidence, const cv::Mat& from_edge);

// The border of a place, in samples a few pixels apart.
struct GapBorder {
  int samples = 0;                 // taken, where the plate or the opening goes on beyond
  int rising = 0;                  // with any rise that stands out
  std::vector<PictureEdge> steps;  // plain ones
  double step = 0.0;               // silver, median of theirs
  double softness_px = 0.0;        // median of theirs

  [[nodiscard]] int measured() const { return static_cast<int>(steps.size()); }
};

// A connected place with less silver than round it, in a window of the plate.
struct DarkPlace {
  cv::Rect window;
  cv::Mat inside;  // CV_8UC1, of the window's size
  GapBorder border;
  PieceTone tone;
  bool at_edge = false;  // of the plate, or of the opening where that is looked at alone
};

struct DarkPlaces {
  std::vector<DarkPlace> places;        // even ones, as dark as the darkest tenth of the film
  int looked_at = 0;                    // of the size of a gap, however dark
  std::vector<PictureEdge> of_lighter;  // plain steps of the borders of the others: the picture's own
};

// Connected places of the size of a gap at a series of levels of silver, on the whole plate and, where a rim
// was seen, within the holder's opening alone: bare support may be as dark as the rim it touches.
[[nodiscard]] DarkPlaces dark_places(const GapGround& ground);

}  // namespace platewise
