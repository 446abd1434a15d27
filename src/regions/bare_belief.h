#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "dark_ground.h"
#include "dark_pieces.h"

namespace platewise {

// Which dark pieces are bare support and which are rim, shadow or scene.

// Share of the film that is as dark as the piece. `all_pieces` is every piece at the plate's edge.
[[nodiscard]] double share_as_dark(const Piece& piece, const Ground& ground, const cv::Mat& all_pieces);

// Believable by itself. Also notes the piece's raggedness and whether it fills a corner.
[[nodiscard]] bool believable(Piece& piece, const Ground& ground);

// All bare support is the same plate: what is far darker or lighter than most of it is a shadow, a stain or
// a sliver of the surround.
[[nodiscard]] std::vector<Piece> of_one_tone(const std::vector<Piece>& pieces, const Ground& ground);

// A piece too weak to stand alone, of the very tone of bare support that was seen elsewhere on the plate.
[[nodiscard]] bool is_borne_out(const Piece& piece, const std::vector<Piece>& seen, const Ground& ground);

}  // namespace platewise
