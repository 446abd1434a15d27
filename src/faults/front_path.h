#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "flow_picture.h"

namespace platewise {

// Means over blocks of a picture's columns, so that a front that crosses the picture is one value per block.
struct Blocks {
  cv::Mat sum;    // CV_64FC1, rows + 1 x blocks: silver of known pixels above each row
  cv::Mat count;  // CV_64FC1, the same of known pixels
  int width_px = 1;
  int rows = 0;
  int blocks = 0;

  // Mean over rows [from, to) of one block; false where less than two thirds of it is known.
  [[nodiscard]] bool mean(int block, int from, int to, double& value) const;
  [[nodiscard]] cv::Mat known() const;  // CV_8UC1, rows x blocks: 255 where most of a row of a block is
};
[[nodiscard]] Blocks in_blocks(const FlowPicture& picture, int width_px);

// How a front may run through the blocks.
struct FrontShape {
  int most_shift_px = 5;      // per block
  double cost_of_turn = 0.6;  // when the shift changes by one
  int chunk_blocks = 5;       // that the null model keeps together
};

struct FrontPath {
  std::vector<int> row;    // of each block
  double score = 0.0;      // sum over the blocks
  std::size_t which = 0;   // of the pictures of scores it was found in
  double runner_up = 0.0;  // score of the best path elsewhere in the same picture of scores
};

// The path from the first to the last block with the largest sum of scores (rows x blocks, CV_32FC1, 0 where
// nothing is known), among several pictures of scores of the same size.
[[nodiscard]] FrontPath best_front(const std::vector<cv::Mat>& scores, const FrontShape& shape, int apart_px);

// That the best path of a picture without a front scores as much. The null model is this picture's own:
// chunks of blocks, each with its true content, are moved up and down independently, the same in all pictures
// of scores, and the best path is sought in them anew; a Gumbel law through these best scores gives the
// chance.
[[nodiscard]] double log10_nfa_of(const FrontPath& path, const std::vector<cv::Mat>& scores,
                                  const FrontShape& shape);

}  // namespace platewise
