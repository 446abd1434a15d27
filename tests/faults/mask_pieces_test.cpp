#include "../../src/faults/mask_pieces.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

cv::Mat scattered(std::uint64_t seed, double share) {
  cv::RNG dice(seed);
  cv::Mat noise(61, 83, CV_8UC1);
  dice.fill(noise, cv::RNG::UNIFORM, 0, 256);
  return noise < 256.0 * share;
}

TEST(MaskPieces, AreTheConnectedComponents) {
  for (const double share : {0.1, 0.5, 0.62, 0.9}) {
    const cv::Mat mask = scattered(7, share);
    cv::Mat labels;
    const int count = cv::connectedComponents(mask, labels, 4, CV_32S);
    const std::vector<MaskPiece> pieces = pieces_of(mask);
    ASSERT_EQ(static_cast<int>(pieces.size()) + 1, count) << share;
    for (const MaskPiece& piece : pieces) {
      cv::Mat painted = cv::Mat::zeros(mask.size(), CV_8UC1);
      paint(piece, painted, 255);
      const int label = labels.at<int>(piece.runs.front().y, piece.runs.front().from);
      EXPECT_EQ(cv::countNonZero(painted != (labels == label)), 0) << share;
      EXPECT_EQ(cv::countNonZero(piece.inside() != painted(piece.box)), 0) << share;
      EXPECT_EQ(piece.area_px, cv::countNonZero(painted)) << share;
      EXPECT_EQ(piece.box, cv::boundingRect(painted)) << share;
    }
  }
}

TEST(MaskPieces, StandInTheOrderOfTheirFirstPixels) {
  const std::vector<MaskPiece> pieces = pieces_of(scattered(8, 0.4));
  for (std::size_t i = 1; i < pieces.size(); ++i) {
    const PieceRun& one = pieces[i - 1].runs.front();
    const PieceRun& next = pieces[i].runs.front();
    EXPECT_TRUE(one.y < next.y || (one.y == next.y && one.from < next.from));
  }
}

TEST(MaskPieces, OfNothingAreNone) {
  EXPECT_TRUE(pieces_of(cv::Mat::zeros(5, 7, CV_8UC1)).empty());
}

}  // namespace
}  // namespace platewise
