#include "bare_support.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "flow_edge.h"

namespace platewise {
namespace {

constexpr int kLongSidePx = 360;  // a film's edge is smooth: coarser pixels suffice to find it
constexpr int kLevels = 24;
constexpr double kSmallestArea = 2.0;     // square hundredths: smaller holes are pinholes or specks
constexpr double kLargestShare = 0.3;     // of the plate in one piece: more is no plate worth scoring
constexpr double kSharpHundredths = 1.2;  // a film's edge is steeper than this
constexpr double kSmallestStep = 0.012;   // D
constexpr double kUnevenFlare = 0.008;    // D, within one piece: light scattered from bright things near
constexpr double kEdgeHundredths = 0.5;   // plate edge, bevel and shadow: no film edge is sought there

// What the pieces are judged in: everything at the coarse size.
struct Ground {
  cv::Mat tone;
  cv::Mat plate;
  cv::Mat inner;  // plate without its edge
  cv::Mat grain;
  cv::Mat texture;
  cv::Mat rise;    // largest rise of the tone across kSharpHundredths
  cv::Mat opened;  // inside the holder's opening; all of it when no rim was seen
  cv::Mat beside;  // rim close to the opening: nearly always film, for the film's edge lies farther out
  cv::Mat holder;  // along the opening's straight sides
  double hundredth_px = 1.0;
  double least_step = kSmallestStep;
  double film_texture = 0.0;
  double film_spread = 0.0;  // of the tone over the film that is darkest
  double rim_tone = 0.0;
  bool rim = false;
  const WorkingTone* working = nullptr;

  [[nodiscard]] int pixels(double hundredths) const {
    return std::max(1, static_cast<int>(std::lround(hundredths * hundredth_px)));
  }
};

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

std::vector<float> values_in(const cv::Mat& image, const cv::Mat& mask) {
  std::vector<float> values;
  for (int y = 0; y < image.rows; ++y) {
    const auto* chosen = mask.ptr<std::uint8_t>(y);
    const auto* value = image.ptr<float>(y);
    for (int x = 0; x < image.cols; ++x) {
      if (chosen[x] != 0) values.push_back(value[x]);
    }
  }
  return values;
}

double share_of(const cv::Mat& part, const cv::Mat& whole) {
  return cv::countNonZero(part & whole) / std::max(1.0, static_cast<double>(cv::countNonZero(whole)));
}

cv::Mat disc(int radius) {
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1});
}

// Largest minus least value within a square window: van Herk's filter makes squares cheap.
cv::Mat rise_within(const cv::Mat& image, int radius) {
  const cv::Mat window = cv::Mat::ones(2 * radius + 1, 2 * radius + 1, CV_8U);
  cv::Mat high;
  cv::Mat low;
  cv::dilate(image, high, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  cv::erode(image, low, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  return high - low;
}

cv::Mat coarse(const cv::Mat& image, cv::Size size) {
  cv::Mat result;
  cv::resize(image, result, size, 0, 0, cv::INTER_AREA);
  if (image.type() == CV_8UC1) result = result > 127;
  return result;
}

// Mean over a window, of the chosen pixels only.
cv::Mat local_mean(const cv::Mat& image, const cv::Mat& chosen, int size) {
  cv::Mat weight;
  chosen.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::Mat sum;
  cv::Mat count;
  cv::boxFilter(image.mul(weight), sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::boxFilter(weight, count, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  return sum / cv::max(count, 1e-6F);
}

// Terms of a smooth surface over the plate, coordinates from -1 to 1.
std::array<double, 5> surface_terms(int x, int y, cv::Size size) {
  const double u = 2.0 * x / size.width - 1.0;
  const double v = 2.0 * y / size.height - 1.0;
  return {1.0, u, v, u * u, v * v};
}

// The rim's tone as a smooth surface: uneven light in a photo, fog that grows toward one side. Least squares,
// reweighted so that bare support and stains do not pull it.
cv::Mat fitted_surface(const cv::Mat& tone, const cv::Mat& where) {
  cv::Mat terms(0, 5, CV_64FC1);
  std::vector<double> tones;
  for (int y = 0; y < tone.rows; y += 3) {
    for (int x = 0; x < tone.cols; x += 3) {
      if (where.at<std::uint8_t>(y, x) == 0) continue;
      const auto row = surface_terms(x, y, tone.size());
      terms.push_back(cv::Mat(1, 5, CV_64FC1, const_cast<double*>(row.data())));
      tones.push_back(static_cast<double>(tone.at<float>(y, x)));
    }
  }
  constexpr std::size_t kEnough = 100;
  if (tones.size() < kEnough) return {};
  const cv::Mat seen(static_cast<int>(tones.size()), 1, CV_64FC1, tones.data());
  cv::Mat weights = cv::Mat::ones(seen.size(), CV_64FC1);
  cv::Mat solution;
  for (int round = 0; round < 5; ++round) {
    const cv::Mat weighted = terms.mul(cv::repeat(weights, 1, 5));
    constexpr double kRidge = 1e-6;
    cv::solve(weighted.t() * terms + kRidge * cv::Mat::eye(5, 5, CV_64FC1), weighted.t() * seen, solution,
              cv::DECOMP_CHOLESKY);
    const cv::Mat residual = seen - terms * solution;
    std::vector<float> sizes(residual.begin<double>(), residual.end<double>());
    const double limit = std::max(1e-4, 3.0 * middle_and_spread(sizes).spread);
    weights = cv::max(1.0 - residual.mul(residual) / (limit * limit), 0.0);
  }
  // Where no rim is, the surface goes on level: a parabola runs away.
  std::vector<float> fitted(seen.rows);
  for (int i = 0; i < seen.rows; ++i)
    fitted[static_cast<std::size_t>(i)] = static_cast<float>(terms.row(i).dot(solution.t()));
  const auto lowest = static_cast<float>(quantile(fitted, 0.02));
  const auto highest = static_cast<float>(quantile(fitted, 0.98));
  cv::Mat surface(tone.size(), CV_32FC1);
  for (int y = 0; y < tone.rows; ++y) {
    for (int x = 0; x < tone.cols; ++x) {
      const auto row = surface_terms(x, y, tone.size());
      double value = 0.0;
      for (int i = 0; i < 5; ++i) value += row[static_cast<std::size_t>(i)] * solution.at<double>(i);
      surface.at<float>(y, x) = std::clamp(static_cast<float>(value), lowest, highest);
    }
  }
  return surface;
}

// Takes the rim's unevenness out of the tones, so that one level divides film from bare support everywhere.
void flatten(Ground& ground, double tolerance) {
  const cv::Mat rim = ground.beside & (cv::abs(ground.tone - ground.rim_tone) <= tolerance);
  const cv::Mat surface = fitted_surface(ground.tone, rim);
  if (!surface.empty()) ground.tone = ground.tone - surface + ground.rim_tone;
}

// What the film without picture looks like: the rim where there is one, else the plate's darkest tones.
void look_at_film(Ground& ground) {
  const WorkingTone& working = *ground.working;
  ground.rise = rise_within(ground.tone, ground.pixels(kSharpHundredths / 2.0));
  if (working.noise.empty()) return;
  cv::Mat film;
  double tone = working.noise.front().tone;
  if (ground.rim) {
    tone = ground.rim_tone;
    film = ground.beside & (cv::abs(ground.tone - tone) <= std::max(0.02, 4.0 * working.noise_at(tone)));
  }
  const double sigma = working.noise_at(tone);
  constexpr double kMeanPerSigma = 0.6745;  // median of the absolute value of a Gaussian
  ground.film_texture = kMeanPerSigma * sigma;
  ground.film_spread = sigma;
  ground.least_step = std::max(kSmallestStep, 5.0 * sigma);
  if (film.empty() || cv::countNonZero(film) < 50) return;
  std::vector<float> values = values_in(ground.texture, film);
  ground.film_texture = quantile(values, 0.5);
  values = values_in(ground.tone - local_mean(ground.tone, film, ground.pixels(4.0)), film);
  ground.film_spread = middle_and_spread(values).spread;
  values = values_in(ground.rise, film);
  constexpr double kLargestByChance = 1.9;  // rises by chance seldom exceed so many times their median
  ground.least_step = std::max(kSmallestStep, kLargestByChance * quantile(values, 0.5));
}

Ground ground_of(const WorkingTone& working, const cv::Mat& plate, const cv::Mat& grain,
                 const HolderOpening& opening) {
  Ground ground;
  const double scale =
      std::min(1.0, kLongSidePx / static_cast<double>(std::max(working.rows(), working.cols())));
  const cv::Size size(static_cast<int>(std::lround(working.cols() * scale)),
                      static_cast<int>(std::lround(working.rows() * scale)));
  ground.working = &working;
  ground.hundredth_px = working.hundredth_px * scale;
  ground.tone = coarse(working.smooth, size);
  ground.plate = coarse(plate, size);
  ground.grain = coarse(grain, size);
  cv::erode(ground.plate, ground.inner, disc(ground.pixels(kEdgeHundredths)), {-1, -1}, 1,
            cv::BORDER_CONSTANT, 0);
  ground.rim = opening.side_count() > 0;
  std::vector<std::vector<cv::Point>> corners(1);
  for (const Point p : outline_of(opening, working)) {
    corners[0].emplace_back(static_cast<int>(std::lround(p.x * scale)),
                            static_cast<int>(std::lround(p.y * scale)));
  }
  ground.opened = cv::Mat::zeros(size, CV_8UC1);
  cv::fillPoly(ground.opened, corners, 255);
  ground.holder = cv::Mat::zeros(size, CV_8UC1);
  if (ground.rim) cv::polylines(ground.holder, corners, true, 255, 2 * ground.pixels(0.45) + 1);
  constexpr double kBesideHundredths = 2.2;
  cv::dilate(ground.opened, ground.beside, disc(ground.pixels(kBesideHundredths)), {-1, -1}, 1,
             cv::BORDER_CONSTANT, 0);
  constexpr double kClearHundredths = 0.9;  // of the step up to the picture
  cv::Mat blurred;
  cv::dilate(ground.opened, blurred, disc(ground.pixels(kClearHundredths)), {-1, -1}, 1, cv::BORDER_CONSTANT,
             0);
  ground.beside = ground.beside & ~blurred & ground.inner;
  ground.texture = coarse(working.texture, size);
  ground.rim_tone = opening.rim_tone;
  if (opening.side_count() >= 2) flatten(ground, std::max(0.1, 0.3 * opening.contrast));
  look_at_film(ground);
  return ground;
}

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

// Every connected dark piece at a series of levels; of pieces that overlap, the best.
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

// Bare support is the darkest thing on the plate, and all of it has one tone. So much of the film is as dark.
double share_as_dark(const Piece& piece, const Ground& ground, const cv::Mat& all_pieces) {
  const double noise = std::max(ground.working->noise_at(piece.tone), piece.spread);
  const cv::Mat film = ground.inner & ~all_pieces;
  return share_of(ground.tone < piece.tone + std::max(0.008, 2.0 * noise), film);
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
  return straight_share(whole, ground.hundredth_px);
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

// All bare support is the same plate: what is far darker or lighter than most of it is a shadow, a stain or
// a sliver of the surround.
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

// A piece too weak to stand alone, of the very tone of bare support that was seen elsewhere on the plate.
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

// The edge, where no tone can be trusted, belongs to what lies beside it.
cv::Mat out_to_plate_edge(const cv::Mat& bare, const Ground& ground) {
  cv::Mat grown;
  cv::dilate(bare, grown, disc(ground.pixels(kEdgeHundredths) + 1), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  return bare | (grown & ground.plate & ~ground.inner);
}

}  // namespace

cv::Mat grain_map(const DensityImage& plate, const WorkingTone& working) {
  const cv::Mat laplacian = (cv::Mat_<float>(3, 3) << 1, -2, 1, -2, 4, -2, 1, -2, 1);
  cv::Mat curvature;
  cv::filter2D(plate.density, curvature, CV_32F, laplacian, {-1, -1}, 0, cv::BORDER_REPLICATE);
  const int block = std::max(8, static_cast<int>(std::lround(working.hundredth_px * working.shrink)));
  cv::Mat map((plate.rows() + block - 1) / block, (plate.cols() + block - 1) / block, CV_32FC1);
  std::vector<float> values;
  for (int row = 0; row < map.rows; ++row) {
    for (int col = 0; col < map.cols; ++col) {
      values.clear();
      for (int y = row * block; y < std::min(plate.rows(), (row + 1) * block); ++y) {
        for (int x = col * block; x < std::min(plate.cols(), (col + 1) * block); ++x) {
          const float value = curvature.at<float>(y, x);
          if (std::isfinite(value)) values.push_back(std::abs(value));
        }
      }
      map.at<float>(row, col) = static_cast<float>(quantile(values, 0.5) * 1.4826 / 6.0);
    }
  }
  cv::Mat grain;
  cv::resize(map, grain, working.tone.size(), 0, 0, cv::INTER_LINEAR);
  return grain;
}

cv::Mat bare_support(const WorkingTone& working, const cv::Mat& plate, const cv::Mat& grain,
                     const HolderOpening& opening) {
  const Ground ground = ground_of(working, plate, grain, opening);
  std::vector<float> tones = values_in(ground.tone, ground.inner);
  cv::Mat bare = cv::Mat::zeros(ground.tone.size(), CV_8UC1);
  cv::Mat fine = cv::Mat::zeros(plate.size(), CV_8UC1);
  if (tones.size() < 100) return fine;
  const double darkest = quantile(tones, 0.0005);
  const double lightest =
      ground.rim ? opening.rim_tone - 0.004 : darkest + 0.4 * (quantile(tones, 0.9) - darkest);
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
  cv::resize(bare, fine, plate.size(), 0, 0, cv::INTER_LINEAR);
  return fine > 127;
}

}  // namespace platewise
