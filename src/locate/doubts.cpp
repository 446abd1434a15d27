#include "doubts.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

double middle_of(std::vector<float> values) {
  if (values.empty()) return std::nan("");
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return static_cast<double>(*middle);
}

// Luminances on a small grid laid over part of the outline: u and v run 0..1 along its sides, beyond them
// outside. Places outside the scan are left out.
std::vector<float> tones(const LinearImage& image, const Homography& px_from_uv, double u0, double u1,
                         double v0, double v1) {
  constexpr int kGrid = 24;
  std::vector<float> values;
  for (int i = 0; i < kGrid * kGrid; ++i) {
    const int column = i % kGrid;
    const int row = i / kGrid;
    const Point p =
        px_from_uv({u0 + (u1 - u0) * (column + 0.5) / kGrid, v0 + (v1 - v0) * (row + 0.5) / kGrid});
    const int x = static_cast<int>(std::floor(p.x));
    const int y = static_cast<int>(std::floor(p.y));
    if (x >= 0 && y >= 0 && x < image.cols() && y < image.rows())
      values.push_back(image.luminance.at<float>(y, x));
  }
  return values;
}

// An even band all round just inside the outline is a rim of its own: a picture's edge varies.
bool is_even(std::vector<float> band) {
  constexpr double kEven = 0.12;  // of the middle tone, for the middle three quarters
  if (band.empty()) return false;
  std::sort(band.begin(), band.end());
  const auto at = [&](double share) {
    return static_cast<double>(band[static_cast<std::size_t>(share * static_cast<double>(band.size() - 1))]);
  };
  return at(0.875) - at(0.125) < 2 * kEven * at(0.5);
}

constexpr double kDarkGround = 0.10;  // linear: a black bed, and a coated rim, lie below

void add(std::vector<float>& to, const std::vector<float>& more) {
  to.insert(to.end(), more.begin(), more.end());
}

// Just outside the four sides.
std::vector<float> ground_outside(const LinearImage& image, const Homography& px_from_uv) {
  constexpr double kBand = 0.03;    // of the side
  constexpr double kClear = 0.006;  // kept from the edge
  std::vector<float> ground;
  add(ground, tones(image, px_from_uv, 0.1, 0.9, -kBand, -kClear));
  add(ground, tones(image, px_from_uv, 0.1, 0.9, 1 + kClear, 1 + kBand));
  add(ground, tones(image, px_from_uv, -kBand, -kClear, 0.1, 0.9));
  add(ground, tones(image, px_from_uv, 1 + kClear, 1 + kBand, 0.1, 0.9));
  return ground;
}

}  // namespace

bool looks_like_a_page(const SearchImage& search, const Quad& corners) {
  constexpr double kLeastPaper = 0.7;    // share of the area that is bare paper
  constexpr double kWhite = 0.6;         // lightness: 22 % of linear full scale, paper in a dark photograph
  constexpr double kPaperWidth = 0.06;   // relative half width of the paper's lightness
  constexpr double kBrightPaper = 0.75;  // of the lightest tone
  constexpr double kInk = 0.8;           // of the paper's lightness: darker is ink
  constexpr double kLeastInk = 0.02;
  constexpr double kStroke = 0.03;   // of the page: ink is finer than this
  constexpr double kLeftOver = 0.3;  // of the ink share that may remain when fine strokes are closed
  cv::Mat lightness;
  cv::extractChannel(search.lightness, lightness, search.lightness.channels() / 2);
  const cv::Mat inside = outline_mask(lightness.size(), corners);
  const double area_px = cv::countNonZero(inside);
  if (area_px < 100) return false;
  double lightest = 0.0;
  cv::minMaxLoc(lightness, nullptr, &lightest, nullptr, nullptr, inside);
  std::vector<float> values;
  for (int y = 0; y < lightness.rows; ++y) {
    for (int x = 0; x < lightness.cols; ++x) {
      if (inside.at<std::uint8_t>(y, x) != 0) values.push_back(lightness.at<float>(y, x));
    }
  }
  const double paper = middle_of(values);
  if (paper < kWhite || paper < kBrightPaper * lightest) return false;
  const auto share = [&](const cv::Mat& where) { return cv::countNonZero(where & inside) / area_px; };
  const cv::Mat bare = (lightness > paper * (1 - kPaperWidth)) & (lightness < paper * (1 + kPaperWidth));
  const double ink = share(lightness < kInk * paper);
  if (share(bare) < kLeastPaper || ink < kLeastInk) return false;
  const int stroke = std::max(3, static_cast<int>(kStroke * std::sqrt(area_px)));
  cv::Mat closed;
  cv::morphologyEx(lightness, closed, cv::MORPH_CLOSE, cv::Mat::ones(stroke, stroke, CV_8U));
  return share(closed < kInk * paper) < kLeftOver * ink;
}

bool looks_like_a_screen(const LinearImage& image, const Quad& corners) {
  constexpr double kMostEqual = 0.35;
  constexpr int kEqual_px = 13;    // wider than a JPEG block: one block alone is often flat in a quiet plate
  constexpr float kBlack = 0.05F;  // below, eight bits are too coarse to show grain
  constexpr float kWhite = 0.98F;  // above, the scanner clips
  const cv::Mat& light = image.luminance;
  const cv::Mat inside = outline_mask(light.size(), corners);
  cv::Mat most;
  cv::Mat least;
  const cv::Mat window = cv::Mat::ones(kEqual_px, kEqual_px, CV_8U);
  cv::dilate(light, most, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  cv::erode(light, least, window, {-1, -1}, 1, cv::BORDER_REPLICATE);
  const cv::Mat equal = (most == least) & (light > kBlack) & (light < kWhite) & inside;
  const int asked = cv::countNonZero(inside);
  return asked > 0 && cv::countNonZero(equal) > kMostEqual * asked;
}

bool ground_is_dark(const LinearImage& image, const Quad& corners) {
  return middle_of(ground_outside(image, target_from_source(rectangle(1, 1), corners))) < kDarkGround;
}

RimDoubt rim_doubt(const LinearImage& image, const Quad& corners) {
  constexpr double kNarrowRim = 0.012;  // of the side: a rim inside is at least so wide
  constexpr double kRimInside = 2.0;  // times the ground: a band inside darker than this is a rim seen inside
  constexpr double kSame = 0.3;  // of the step at the side: a corner's tip nearer to the ground is ground
  constexpr double kCornerReach = 0.025;  // of the side: the part of a corner that a rounding cuts off
  constexpr double kRimWidth = 0.10;      // of the side: a dark band to the frame no wider may be a rim
  const Homography px_from_uv = target_from_source(rectangle(1, 1), corners);
  std::vector<float> band;
  const double dark = middle_of(ground_outside(image, px_from_uv));
  add(band, tones(image, px_from_uv, 0.1, 0.9, kNarrowRim / 4, kNarrowRim));
  add(band, tones(image, px_from_uv, 0.1, 0.9, 1 - kNarrowRim, 1 - kNarrowRim / 4));
  add(band, tones(image, px_from_uv, kNarrowRim / 4, kNarrowRim, 0.1, 0.9));
  add(band, tones(image, px_from_uv, 1 - kNarrowRim, 1 - kNarrowRim / 4, 0.1, 0.9));
  const double picture = middle_of(tones(image, px_from_uv, 0.1, 0.9, 0.1, 0.9));
  constexpr double kBlackFoot = 0.002;  // below it ratios say nothing
  const double inner = middle_of(band);
  const bool rim_inside = inner < 0.5 * picture && inner < kDarkGround;
  const bool on_black = dark < kDarkGround && inner >= kRimInside * (dark + kBlackFoot);
  constexpr double kFilmsEdge = 1.6;  // bare support and coated rim seldom lie 0.2 D apart (common practice)
  const bool faint = dark < kDarkGround &&
                     std::abs(std::log((inner + kBlackFoot) / (dark + kBlackFoot))) < std::log(kFilmsEdge);
  if (rim_inside || is_even(band)) return faint ? RimDoubt::may_be_rim : RimDoubt::none;
  int rounded = 0;
  for (const double u : {0.0, 1.0 - kCornerReach}) {
    for (const double v : {0.0, 1.0 - kCornerReach}) {
      // The outer half of the corner's square, along its diagonal.
      std::vector<float> tip;
      constexpr int kTips = 16;
      for (int i = 0; i < kTips; ++i) {
        const double t = kCornerReach * (0.25 + 0.25 * i / kTips);
        const double uu = u > 0.5 ? 1 - t : t;
        const double vv = v > 0.5 ? 1 - t : t;
        add(tip, tones(image, px_from_uv, uu - 0.002, uu + 0.002, vv - 0.002, vv + 0.002));
      }
      rounded += std::abs(middle_of(tip) - dark) < kSame * std::abs(inner - dark);
    }
  }
  int narrow = 0;
  for (const auto& [u, v] : {Point{0.5, -kRimWidth}, Point{1 + kRimWidth, 0.5}, Point{0.5, 1 + kRimWidth},
                             Point{-kRimWidth, 0.5}}) {
    const Point p = px_from_uv({u, v});
    narrow += p.x < 0 || p.y < 0 || p.x > image.cols() || p.y > image.rows();
  }
  if (rounded >= 3 && narrow >= 3) return RimDoubt::looks_like_rim;
  return on_black ? RimDoubt::may_be_rim : RimDoubt::none;
}

}  // namespace platewise
