#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// One row of a piece: its columns from `from` up to, without, `to`.
struct PieceRun {
  int y = 0;
  int from = 0;
  int to = 0;
};

// A connected piece of a mask as the runs of its rows, which are far fewer than its pixels.
struct MaskPiece {
  cv::Rect box;
  int area_px = 0;
  std::vector<PieceRun> runs;  // from top to bottom

  [[nodiscard]] cv::Mat inside() const;  // CV_8UC1, of the box's size
};

// The pieces of a mask (CV_8UC1, 255 inside and 0 outside) whose pixels join by their sides, in the order of
// their first pixels.
[[nodiscard]] std::vector<MaskPiece> pieces_of(const cv::Mat& mask);

// Sets the piece's pixels in a mask of the size of the one it came from.
void paint(const MaskPiece& piece, cv::Mat& mask, int value);

}  // namespace platewise
