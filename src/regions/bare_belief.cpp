#include "bare_belief.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "masked_values.h"

namespace platewise {

namespace {

bool holds_corner(const Piece& piece, const Ground& ground) {
  const int reach = ground.pixels(4.0);
  const int right = ground.tone.cols - reach;
  const int bottom = ground.tone.rows - reach;
  for (const cv::Point corner : {cv::Point{0, 0}, {right, 0}, {right, bottom}, {0, bottom}}) {
    const cv::Rect common = cv::Rect(corner, cv::Size{reach, reach}) & piece.window;
    if (common.empty()) continue;
    if (cv::countNonZero(piece.inside(common - piece.window.tl())) > 0.35 * reach * reach) return true;
  }
  return false;
}

// Share of the piece that a smooth outline would not have.
double raggedness(const Piece& piece, const Ground& ground) {
  cv::Mat framed;
  const int radius = ground.pixels(1.2);
  cv::copyMakeBorder(piece.inside, framed, 2 * radius, 2 * radius, 2 * radius, 2 * radius,
                     cv::BORDER_REPLICATE);
  cv::Mat smooth;
  cv::morphologyEx(framed, smooth, cv::MORPH_CLOSE, disc(radius));
  const cv::Rect window({2 * radius, 2 * radius}, piece.inside.size());
  return cv::countNonZero((smooth ^ framed)(window)) /
         std::max(1.0, static_cast<double>(cv::countNonZero(piece.inside)));
}

// Beside a rim. Film without picture carries the same grain as the rim: a darker piece that carries far less
// is bare. Where the scan hides the grain, the step down from the rim must speak for itself.
bool is_bare_beside_rim(const Piece& piece, const Ground& ground) {
  constexpr double kGrainless = 0.5;
  const double below = std::min(piece.below_film, ground.rim_tone - piece.tone + 2.0 * ground.film_spread);
  if (piece.texture < kGrainless * ground.film_texture && piece.spread < 0.7 * ground.film_spread) {
    constexpr double kSeenEdge = 0.1;  // the step may be too small to show all along
    if (piece.sharp >= kSeenEdge && below >= std::max(0.005, 2.5 * ground.film_spread)) return true;
  }
  // A step that runs all along the piece's free border, seen in means over its stretches.
  constexpr double kAllAlong = 0.8;
  constexpr double kSeldom = 0.1;  // of the film as dark: uneven light allowed for, a dark scene is not
  if (piece.flow.sharp_share >= kAllAlong && piece.ragged <= 0.3 && piece.free_border >= 0.25 &&
      piece.as_dark_elsewhere <= kSeldom && piece.flow.step >= std::max(0.008, 3.0 * ground.film_spread) &&
      piece.spread <= std::max(kUnevenFlare, 1.7 * ground.film_spread) &&
      below >= std::max(0.008, 1.5 * ground.film_spread)) {
    return true;
  }
  // A narrow rim leaves no film between the bare piece and the picture to compare with.
  const double below_rim = ground.rim_tone - piece.tone;
  if (piece.sharp >= 0.95 && below_rim >= std::max(0.03, 6.0 * ground.film_spread) &&
      piece.spread <= 1.5 * ground.film_spread) {
    return true;
  }
  constexpr double kFreeEnough = 0.4;
  constexpr double kSharpEnough = 0.75;
  constexpr double kAsMuchGrain = 1.3;
  return piece.free_border >= kFreeEnough && piece.sharp >= kSharpEnough && piece.step >= ground.least_step &&
         piece.texture <= kAsMuchGrain * ground.film_texture &&
         below >= std::max(0.012, 3.5 * ground.film_spread);
}

// Share of the piece that lies farther from the plate's edge than a bare edge or corner reaches.
double share_far_inside(const Piece& piece, const Ground& ground) {
  const int reach = ground.pixels(14.0);
  cv::Mat far = cv::Mat::zeros(ground.tone.size(), CV_8UC1);
  const cv::Rect middle(reach, reach, far.cols - 2 * reach, far.rows - 2 * reach);
  if (middle.width > 0 && middle.height > 0) far(middle).setTo(255);
  return share_of(far(piece.window), piece.inside);
}

// Beyond doubt by its shape alone: dark, even, clear-cut all round, at the outline, no straight holder's
// border, and nothing on the film as dark.
bool is_bare_by_shape(const Piece& piece, const Ground& ground) {
  constexpr double kClipped = 0.0003;  // D; a scanner's black without any noise hides grain as well
  if (!piece.at_edge || piece.ragged > 0.3 || piece.grain < kClipped) return false;
  // Darker than the unexposed rim is beyond the film, whatever else is as dark: other bare support mostly.
  const bool below_rim =
      ground.rim && piece.tone < ground.rim_tone - std::max(0.006, 3.0 * ground.film_spread);
  const double sigma = std::max(ground.film_spread, ground.working->noise_at(piece.tone));
  constexpr double kAllAround = 0.85;
  constexpr double kSeldom = 0.003;
  constexpr double kSeldomBelowRim = 0.03;
  constexpr double kMostlyAtEdge = 0.25;
  // A dark thing in the scene may touch one edge, even and clear-cut; it seldom fills a corner.
  constexpr double kLongHundredths = 25.0;
  const double length = std::max(piece.window.width, piece.window.height) / ground.hundredth_px;
  if (!piece.at_corner && !below_rim && length < kLongHundredths) return false;
  return piece.flow.sharp_share >= kAllAround && piece.flow.step >= std::max(0.02, 4.0 * sigma) &&
         piece.spread <= std::max(kUnevenFlare, 1.7 * sigma) &&
         piece.as_dark_elsewhere <= (below_rim ? kSeldomBelowRim : kSeldom) &&
         share_far_inside(piece, ground) <= kMostlyAtEdge;
}

double share_on_a_line(const Piece& piece, const Ground& ground) {
  cv::Mat whole = cv::Mat::zeros(ground.tone.size(), CV_8UC1);
  piece.inside.copyTo(whole(piece.window));
  return straight_share(whole, ground.hundredth_px, ground.holder_px);
}

}  // namespace

double share_as_dark(const Piece& piece, const Ground& ground, const cv::Mat& all_pieces) {
  const double noise = std::max(ground.working->noise_at(piece.tone), piece.spread);
  const cv::Mat film = ground.inner & ~all_pieces;
  return share_of(ground.tone < piece.tone + std::max(0.008, 2.0 * noise), film);
}

bool believable(Piece& piece, const Ground& ground) {
  constexpr double kQuality = 0.4;
  if (piece.quality < kQuality) return false;
  constexpr double kMostlyPicture = 0.8;
  constexpr double kWholeSide = 0.6;  // an unseen holder's border, not the film's
  constexpr double kMostOfASide = 0.55;
  piece.at_corner = holds_corner(piece, ground);
  piece.ragged = raggedness(piece, ground);
  if (ground.rim && piece.in_picture < kMostlyPicture && piece.at_edge && is_bare_beside_rim(piece, ground))
    return share_on_a_line(piece, ground) < kWholeSide;
  if (ground.rim && piece.tone > ground.rim_tone) return false;
  if (share_on_a_line(piece, ground) > kMostOfASide) return false;
  if (is_bare_by_shape(piece, ground)) return true;
  constexpr double kSharpEnough = 0.7;
  if (piece.sharp < kSharpEnough || piece.step < ground.least_step) return false;
  // Without a rim beside it a dark shape may be picture: only a corner's smooth-lined piece with far less
  // texture than the darkest film is believed.
  constexpr double kClipped = 0.0003;  // D; a scanner's black without any noise hides grain as well
  return piece.at_corner && piece.ragged <= 0.15 && piece.grain >= kClipped &&
         piece.as_dark_elsewhere <= 0.02 && piece.texture < 0.6 * ground.film_texture;
}

std::vector<Piece> of_one_tone(const std::vector<Piece>& pieces, const Ground& ground) {
  constexpr double kUnevenLight = 0.06;  // D; flare and light falling off across the plate
  std::vector<float> tones;
  for (const Piece& piece : pieces)
    tones.insert(tones.end(), static_cast<std::size_t>(cv::countNonZero(piece.inside)),
                 static_cast<float>(piece.tone));
  const double middle = quantile(tones, 0.5);
  std::vector<Piece> alike;
  for (const Piece& piece : pieces) {
    const double tolerance = kUnevenLight + 3.0 * ground.working->noise_at(piece.tone);
    if (std::abs(piece.tone - middle) <= tolerance) alike.push_back(piece);
  }
  return alike;
}

bool is_borne_out(const Piece& piece, const std::vector<Piece>& seen, const Ground& ground) {
  constexpr double kAllAround = 0.85;
  constexpr double kMostOfASide = 0.55;
  constexpr double kQuality = 0.4;
  const double sigma = std::max(ground.film_spread, ground.working->noise_at(piece.tone));
  if (piece.quality < kQuality || !piece.at_edge || piece.flow.sharp_share < kAllAround ||
      piece.ragged > 0.3 || piece.flow.step < std::max(0.012, 3.0 * sigma)) {
    return false;
  }
  const bool alike = std::any_of(seen.begin(), seen.end(), [&](const Piece& other) {
    return std::abs(other.tone - piece.tone) <= kUnevenFlare + sigma;
  });
  constexpr double kMostlyAtEdge = 0.05;
  constexpr double kSeldom = 0.05;
  return alike && piece.as_dark_elsewhere <= kSeldom && share_far_inside(piece, ground) <= kMostlyAtEdge &&
         share_on_a_line(piece, ground) <= kMostOfASide;
}

}  // namespace platewise
