#include "mask_pieces.h"

#include <algorithm>
#include <cstring>

namespace platewise {
namespace {

// Runs of a row, added to those of the rows above.
void add_runs(const cv::Mat& mask, int y, std::vector<PieceRun>& runs) {
  const auto* row = mask.ptr<std::uint8_t>(y);
  const auto next = [&](int from, int value) {
    const void* at = std::memchr(row + from, value, static_cast<std::size_t>(mask.cols - from));
    return at == nullptr ? mask.cols : static_cast<int>(static_cast<const std::uint8_t*>(at) - row);
  };
  for (int from = next(0, 255); from < mask.cols;) {
    const int to = next(from, 0);
    runs.push_back({y, from, to});
    from = to < mask.cols ? next(to, 255) : mask.cols;
  }
}

// Which runs belong together: each points to an earlier one of its piece, the first to itself.
class Joined {
 public:
  void add() { earlier_.push_back(earlier_.size()); }
  [[nodiscard]] std::size_t first(std::size_t run) {
    while (earlier_[run] != run) run = earlier_[run] = earlier_[earlier_[run]];
    return run;
  }
  void join(std::size_t one, std::size_t other) {
    one = first(one);
    other = first(other);
    earlier_[std::max(one, other)] = std::min(one, other);
  }

 private:
  std::vector<std::size_t> earlier_;
};

}  // namespace

cv::Mat MaskPiece::inside() const {
  cv::Mat mask = cv::Mat::zeros(box.size(), CV_8UC1);
  for (const PieceRun& run : runs)
    std::memset(mask.ptr<std::uint8_t>(run.y - box.y) + (run.from - box.x), 255,
                static_cast<std::size_t>(run.to - run.from));
  return mask;
}

std::vector<MaskPiece> pieces_of(const cv::Mat& mask) {
  std::vector<PieceRun> runs;
  Joined joined;
  std::size_t above = 0;  // first run of the row above
  for (int y = 0; y < mask.rows; ++y) {
    const std::size_t here = runs.size();
    add_runs(mask, y, runs);
    std::size_t touching = above;
    for (std::size_t i = here; i < runs.size(); ++i) {
      joined.add();
      while (touching < here && runs[touching].to <= runs[i].from) ++touching;
      for (std::size_t k = touching; k < here && runs[k].from < runs[i].to; ++k) joined.join(i, k);
    }
    above = here;
  }
  std::vector<MaskPiece> pieces;
  std::vector<std::size_t> piece_of(runs.size());
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const PieceRun& run = runs[i];
    const std::size_t first = joined.first(i);
    if (first == i) {
      piece_of[i] = pieces.size();
      pieces.emplace_back();
    } else {
      piece_of[i] = piece_of[first];
    }
    MaskPiece& piece = pieces[piece_of[i]];
    piece.box |= cv::Rect(run.from, run.y, run.to - run.from, 1);
    piece.area_px += run.to - run.from;
    piece.runs.push_back(run);
  }
  return pieces;
}

void paint(const MaskPiece& piece, cv::Mat& mask, int value) {
  for (const PieceRun& run : piece.runs)
    std::memset(mask.ptr<std::uint8_t>(run.y) + run.from, value, static_cast<std::size_t>(run.to - run.from));
}

}  // namespace platewise
