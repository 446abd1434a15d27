#include "dark_pieces.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "masked_values.h"

namespace platewise {

namespace {

constexpr int kLevels = 24;
constexpr double kSmallestArea = 2.0;  // square hundredths: smaller holes are pinholes or specks
constexpr double kLargestShare = 0.3;  // of the plate in one piece: more is no plate worth scoring

void look_at_border(Piece& piece, const Ground& ground) {
  cv::Mat border;
  cv::dilate(piece.inside, border, cv::Mat::ones(3, 3, CV_8U), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  border = border & ~piece.inside & ground.inner(piece.window);
  // Where the piece meets the opening the step tells of rim and picture, not of the film's edge.
  const cv::Mat free = border & ~ground.holder(piece.window);
  piece.free_border = share_of(free, border);
  if (piece.free_border > 0.3) border = free;
  std::vector<float> rises = values_in(ground.rise(piece.window), border);
  if (rises.size() < 6) return;
  const auto sharp = std::count_if(
      rises.begin(), rises.end(), [&](float rise) { return static_cast<double>(rise) >= ground.least_step; });
  piece.sharp = static_cast<double>(sharp) / static_cast<double>(rises.size());
  piece.step = quantile(rises, 0.5);
}

// The film just beyond the border, picture and holder's edge left out where enough remains.
void look_beyond_border(Piece& piece, const Ground& ground) {
  cv::Mat far;
  cv::Mat near;
  cv::dilate(piece.inside, far, disc(ground.pixels(1.4)), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  cv::dilate(piece.inside, near, disc(ground.pixels(0.5)), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  const cv::Mat around = far & ~near & ground.inner(piece.window);
  const cv::Mat rim = around & ~ground.opened(piece.window) & ~ground.holder(piece.window);
  constexpr int kEnough = 12;
  std::vector<float> tones =
      values_in(ground.tone(piece.window), ground.rim && cv::countNonZero(rim) >= kEnough ? rim : around);
  if (!tones.empty()) piece.below_film = quantile(tones, 0.5) - piece.tone;
}

// Light that falls off across the plate tilts the tone of a large piece.
double spread_about_plane(const cv::Mat& tone, const cv::Mat& core) {
  cv::Mat terms(0, 3, CV_64FC1);
  cv::Mat seen(0, 1, CV_64FC1);
  for (int y = 0; y < core.rows; ++y) {
    for (int x = 0; x < core.cols; ++x) {
      if (core.at<std::uint8_t>(y, x) == 0) continue;
      const cv::Mat row = (cv::Mat_<double>(1, 3) << 1.0, x - core.cols / 2.0, y - core.rows / 2.0);
      terms.push_back(row);
      seen.push_back(static_cast<double>(tone.at<float>(y, x)));
    }
  }
  cv::Mat solution;
  constexpr double kRidge = 1e-3;
  cv::solve(terms.t() * terms + kRidge * cv::Mat::eye(3, 3, CV_64FC1), terms.t() * seen, solution,
            cv::DECOMP_CHOLESKY);
  const cv::Mat residual = seen - terms * solution;
  std::vector<float> values(residual.begin<double>(), residual.end<double>());
  return middle_and_spread(values).spread;
}

Piece piece_of(const cv::Mat& inside, cv::Rect window, const Ground& ground) {
  Piece piece;
  piece.window = window;
  piece.inside = inside;
  const cv::Mat inner = ground.inner(window);
  cv::Mat core;
  cv::erode(inside, core, disc(ground.pixels(0.5)), {-1, -1}, 1, cv::BORDER_CONSTANT, 255);
  core &= inner;
  std::vector<float> tones = values_in(ground.tone(window), core);
  if (tones.size() < 8) return piece;
  piece.tone = quantile(tones, 0.5);
  piece.spread = spread_about_plane(ground.tone(window), core);
  std::vector<float> grains = values_in(ground.grain(window), core);
  piece.grain = quantile(grains, 0.5);
  std::vector<float> textures = values_in(ground.texture(window), core);
  piece.texture = quantile(textures, 0.5);
  cv::Mat grown;
  cv::dilate(inside, grown, cv::Mat::ones(3, 3, CV_8U), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  piece.at_edge = cv::countNonZero(grown & ~inner) > 0;
  piece.in_picture = share_of(ground.opened(window), inside);
  look_at_border(piece, ground);
  look_beyond_border(piece, ground);
  const double sigma = std::max(ground.film_spread, ground.working->noise_at(piece.tone));
  piece.flow =
      flow_edge(inside, ground.tone(window), inner & ~ground.holder(window), ground.hundredth_px, sigma);
  const double even = piece.spread / std::max(kUnevenFlare, 1.5 * sigma);
  piece.quality = (0.4 + 0.3 * piece.sharp + 0.3 * piece.flow.sharp_share) * std::exp(-0.5 * even * even);
  return piece;
}

bool overlap(const Piece& a, const Piece& b) {
  const cv::Rect common = a.window & b.window;
  if (common.empty()) return false;
  return cv::countNonZero(a.inside(common - a.window.tl()) & b.inside(common - b.window.tl())) > 0;
}

void keep_better(std::vector<Piece>& kept, Piece piece) {
  const auto worth = [](const Piece& p) { return p.quality + 1e-7 * p.window.area(); };
  for (const Piece& other : kept) {
    if (overlap(other, piece) && worth(other) >= worth(piece)) return;
  }
  kept.erase(
      std::remove_if(kept.begin(), kept.end(), [&](const Piece& other) { return overlap(other, piece); }),
      kept.end());
  kept.push_back(std::move(piece));
}

}  // namespace

std::vector<Piece> dark_pieces(const Ground& ground, double darkest, double lightest) {
  std::vector<Piece> kept;
  const double smallest = kSmallestArea * ground.hundredth_px * ground.hundredth_px;
  const double largest = kLargestShare * static_cast<double>(ground.tone.total());
  const int pad = ground.pixels(1.5);
  for (int level = 1; level <= kLevels; ++level) {
    const double limit = darkest + (lightest - darkest) * level / kLevels;
    cv::Mat labels;
    cv::Mat stats;
    cv::Mat centres;
    const int count = cv::connectedComponentsWithStats((ground.tone < limit) & ground.inner, labels, stats,
                                                       centres, 4, CV_32S);
    for (int label = 1; label < count; ++label) {
      const double area = stats.at<int>(label, cv::CC_STAT_AREA);
      if (area < smallest || area > largest) continue;
      const cv::Rect window =
          cv::Rect(stats.at<int>(label, cv::CC_STAT_LEFT) - pad, stats.at<int>(label, cv::CC_STAT_TOP) - pad,
                   stats.at<int>(label, cv::CC_STAT_WIDTH) + 2 * pad,
                   stats.at<int>(label, cv::CC_STAT_HEIGHT) + 2 * pad) &
          cv::Rect({0, 0}, ground.tone.size());
      Piece piece = piece_of(labels(window) == label, window, ground);
      constexpr double kHopeless = 0.3;
      if (piece.quality >= kHopeless) keep_better(kept, std::move(piece));
    }
  }
  return kept;
}

}  // namespace platewise
