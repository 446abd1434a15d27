#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "dark_ground.h"
#include "flow_edge.h"

namespace platewise {

// A connected dark piece, in a window of the ground a little larger than itself.
struct Piece {
  cv::Rect window;
  cv::Mat inside;     // CV_8UC1, of the window's size
  double tone = 0.0;  // middle of its inner part
  double spread = 0.0;
  double grain = 0.0;
  double texture = 0.0;
  double step = 0.0;         // median rise across its border
  double below_film = 0.0;   // tone of the film just beyond its border less its own
  double free_border = 0.0;  // share of its border that is not the holder's
  double sharp = 0.0;        // share of the border with a rise well above noise
  double ragged = 0.0;       // share of its area that smoothing its outline changes
  double quality = 0.0;
  double in_picture = 0.0;         // share inside the opening
  double as_dark_elsewhere = 0.0;  // share of the film that is as dark as the piece
  FlowEdge flow;
  bool at_edge = false;
  bool at_corner = false;
};

// Every connected dark piece at a series of levels from `darkest` to `lightest`; of pieces that overlap, the
// one that is most even and most sharply bounded.
[[nodiscard]] std::vector<Piece> dark_pieces(const Ground& ground, double darkest, double lightest);

}  // namespace platewise
