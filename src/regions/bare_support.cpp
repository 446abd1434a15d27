#include "bare_support.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "bare_belief.h"
#include "dark_pieces.h"
#include "masked_values.h"

namespace platewise {

namespace {

// The edge, where no tone can be trusted, belongs to what lies beside it.
cv::Mat out_to_plate_edge(const cv::Mat& bare, const Ground& ground) {
  cv::Mat grown;
  cv::dilate(bare, grown, disc(ground.pixels(kUntrustedEdgeHundredths) + 1), {-1, -1}, 1, cv::BORDER_CONSTANT,
             0);
  return bare | (grown & ground.plate & ~ground.inner);
}

}  // namespace

cv::Mat bare_support(const Ground& ground) {
  std::vector<float> tones = values_in(ground.tone, ground.inner);
  cv::Mat bare = cv::Mat::zeros(ground.tone.size(), CV_8UC1);
  cv::Mat fine = cv::Mat::zeros(ground.working->tone.size(), CV_8UC1);
  if (tones.size() < 100) return fine;
  const double darkest = quantile(tones, 0.0005);
  const double lightest =
      ground.rim ? ground.rim_tone - 0.004 : darkest + 0.4 * (quantile(tones, 0.9) - darkest);
  if (lightest <= darkest) return fine;
  std::vector<Piece> pieces = dark_pieces(ground, darkest, lightest);
  cv::Mat all_pieces = cv::Mat::zeros(bare.size(), CV_8UC1);
  for (const Piece& piece : pieces) {
    if (piece.at_edge) all_pieces(piece.window) |= piece.inside;
  }
  cv::dilate(all_pieces, all_pieces, disc(ground.pixels(0.7)));
  for (Piece& piece : pieces) {
    piece.as_dark_elsewhere = share_as_dark(piece, ground, all_pieces);
  }
  const auto doubtful = std::stable_partition(pieces.begin(), pieces.end(),
                                              [&](Piece& piece) { return believable(piece, ground); });
  const std::vector<Piece> seen = of_one_tone({pieces.begin(), doubtful}, ground);
  for (const Piece& piece : seen) bare(piece.window) |= piece.inside;
  for (auto piece = doubtful; piece != pieces.end(); ++piece) {
    if (is_borne_out(*piece, seen, ground)) bare(piece->window) |= piece->inside;
  }
  bare = out_to_plate_edge(bare, ground);
  cv::resize(bare, fine, fine.size(), 0, 0, cv::INTER_LINEAR);
  return fine > 127;
}

}  // namespace platewise
