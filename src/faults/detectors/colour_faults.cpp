#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "../cast_look.h"
#include "../cast_patches.h"
#include "../colour_cast.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

// Hues as cast_patches.h counts them (common practice, no source).
// An iron blue takes red out; blue that takes none is the rest of a plate that is yellow elsewhere.
constexpr HueRange kGreenToBlue{-40.0, 65.0};
constexpr HueRange kBlue{20.0, 110.0};
constexpr HueRange kYellow{-116.0, -65.0};
constexpr HueRange kRust{-155.0, -108.0};

constexpr double kLeastContrast = 0.02;
constexpr double kLeastRust = 0.035;  // paler brown at the edge is tarnish
constexpr double kRustReachUnits = 6.0;
constexpr double kOnOutlines = 0.55;
constexpr double kDarks = 0.45;  // share of the plate's tones
constexpr double kLights = 0.60;
constexpr double kLessInLights = 0.6;
constexpr double kBetweenDarks = 0.35;
constexpr double kInOtherTones = 0.4;
constexpr double kEven = 0.6;
constexpr double kLeastHazeUnits2 = 15.0;  // gilt on buttons and rings is smaller

Candidate candidate_of(std::string_view id, const ColourCast& cast, const cv::Mat& inside, cv::Point origin,
                       const Colour& mean, double log10_nfa) {
  Candidate candidate{.id = id,
                      .outline_units = outline_units(inside, origin, cast.px_per_unit),
                      .area = cv::countNonZero(inside) / (cast.px_per_unit * cast.px_per_unit),
                      .contrast = cv::norm(mean),
                      .log10_nfa = log10_nfa};
  candidate.confidence = std::clamp(0.5 - 0.05 * log10_nfa, 0.0, 0.9);
  return candidate;
}

cv::Mat whole_of(const ColourCast& cast, const CastPatch& patch) {
  cv::Mat whole = cv::Mat::zeros(cast.film.size(), CV_8UC1);
  patch.inside.copyTo(whole(patch.box));
  return whole;
}

Colour direction_of(const Colour& mean) {
  return mean * (1.0 / std::max(1e-9, cv::norm(mean)));
}

// On ruby glass a tone or a haze that is off its place has the colour of another tone.
bool is_of_other_tones(const ColourCast& cast, const Colour& mean) {
  constexpr double kColoured = 0.25;
  constexpr double kAlong = 0.8;
  const Colour along = cast.curve.colours.back() - cast.curve.colours.front();
  return cv::norm(along) > kColoured && std::abs(direction_of(along).dot(direction_of(mean))) > kAlong;
}

// The brightest parts of the plate are blue, or border on blue where they have gone back to darker tones;
// nothing below is.
struct BlueLights {
  cv::Mat where;  // CV_8UC1 of the colour picture
  Colour mean;
  double log10_nfa = 0.0;
};

cv::Mat lights_of(const ColourCast& cast) {
  constexpr double kLight = 0.4;  // of the brightest
  return cast.picture & (cast.tone >= cast.curve.tones.back() + std::log10(kLight));
}

// Blue patches on lights alone.
cv::Mat blue_on_lights(const ColourCast& cast) {
  constexpr double kNearlyAll = 0.8;
  cv::Mat all = cv::Mat::zeros(cast.film.size(), CV_8UC1);
  const cv::Mat light = lights_of(cast);
  for (const CastPatch& patch : cast_patches(cast, kBlue)) {
    const cv::Mat whole = whole_of(cast, patch);
    if (cv::countNonZero(whole & light) >= kNearlyAll * patch.area_px) all |= whole;
  }
  return all;
}

// All lights that are as blue, however faint or small each of them is.
cv::Mat all_blue_lights(const ColourCast& cast) {
  cv::Mat blue = lights_of(cast);
  for (int y = 0; y < blue.rows; ++y)
    for (int x = 0; x < blue.cols; ++x) {
      const Colour off = cv::Vec2d(cast.smooth.at<cv::Vec2f>(y, x));
      if (cv::norm(off) < 0.6 * kLeastContrast || !kBlue.holds(hue_deg(off))) blue.at<std::uint8_t>(y, x) = 0;
    }
  cv::morphologyEx(blue, blue, cv::MORPH_OPEN, cv::Mat::ones(3, 3, CV_8UC1));  // fringes of edges
  cv::morphologyEx(blue, blue, cv::MORPH_CLOSE, cv::Mat::ones(3, 3, CV_8UC1));
  return blue;
}

std::optional<BlueLights> blue_lights(const ColourCast& cast) {
  constexpr double kShareBlue = 0.6;
  constexpr double kBesideUnits = 1.0;
  constexpr double kLeastUnits2 = 4.0;
  constexpr double kMostBelow = 0.5;  // of the blue of the lights
  constexpr double kBelowFrom = 0.2;  // of the brightest light
  constexpr double kBelowTo = 0.5;
  const cv::Mat blue = blue_on_lights(cast);
  const Colour mean = mean_off(cast, blue);
  // A line through the middle lights foretells the brightest no better than that.
  const double beyond = cv::norm(mean) - 2.0 * cast.curve.lights_u;
  if (is_of_other_tones(cast, mean)) return std::nullopt;
  if (beyond < kLeastContrast || !kBlue.holds(hue_deg(mean))) return std::nullopt;
  const int reach = 2 * static_cast<int>(std::lround(kBesideUnits * cast.px_per_unit)) + 1;
  cv::Mat near;
  cv::dilate(blue, near, cv::getStructuringElement(cv::MORPH_ELLIPSE, {reach, reach}));
  const double top = cast.curve.tones.back();
  const auto below =
      off_between(cast, ~near, direction_of(mean), top + std::log10(kBelowFrom), top + std::log10(kBelowTo));
  if (!below || *below > kMostBelow * cv::norm(mean)) return std::nullopt;
  for (const double share : {0.65, 0.75, 0.85}) {
    const cv::Mat bright = cast.picture & (cast.tone >= top + std::log10(share));
    const int all = cv::countNonZero(bright);
    if (all < kLeastUnits2 * cast.px_per_unit * cast.px_per_unit) continue;
    if (cv::countNonZero(bright & near) < kShareBlue * all) continue;
    return BlueLights{blue | all_blue_lights(cast), mean,
                      log10_nfa_of(cast, blue, direction_of(mean) * beyond)};
  }
  return std::nullopt;
}

void propose_blue_lights(std::vector<Candidate>& candidates, const ColourCast& cast,
                         const BlueLights& lights) {
  cv::Mat labels;
  const int count = cv::connectedComponents(lights.where, labels, 8, CV_32S);
  for (int i = 1; i < count; ++i) {
    constexpr double kLeastUnits2 = 3.0;
    const cv::Mat part = labels == i;
    if (cv::countNonZero(part) < kLeastUnits2 * cast.px_per_unit * cast.px_per_unit) continue;
    candidates.push_back(candidate_of("solarised_blue", cast, part, {}, lights.mean, lights.log10_nfa));
  }
}

// Blue on lights alone may be either fault, or paint.
bool is_in_lights_alone(const ColourCast& cast, const cv::Mat& area, const Colour& mean) {
  constexpr double kLight = 0.5;  // of the brightest
  constexpr double kNearlyAll = 0.8;
  if (!kBlue.holds(hue_deg(mean))) return false;
  const cv::Mat light = area & (cast.tone >= cast.curve.tones.back() + std::log10(kLight));
  return cv::countNonZero(light) > kNearlyAll * cv::countNonZero(area);
}

// A cast over lights and darks that heeds no outline of the picture; what ends with them is a coloured thing.
void propose_green_to_blue(std::vector<Candidate>& candidates, const ColourCast& cast,
                           const std::optional<BlueLights>& lights) {
  constexpr double kMostOfLights = 0.5;
  for (const CastPatch& patch : cast_patches(cast, kGreenToBlue)) {
    const cv::Mat whole = whole_of(cast, patch);
    if (lights && cv::countNonZero(whole & lights->where) > kMostOfLights * patch.area_px) continue;
    if (border_on_outlines(cast, whole) > kOnOutlines || is_in_lights_alone(cast, whole, patch.mean))
      continue;
    if (is_of_other_tones(cast, patch.mean)) continue;
    if (in_other_tones(cast, whole, patch.mean) < kInOtherTones) continue;
    candidates.push_back(
        candidate_of("iron_stain", cast, patch.inside, patch.box.tl(), patch.mean, patch.log10_nfa));
  }
}

// Rust comes from the cut edge of an iron plate.
void propose_rust(std::vector<Candidate>& candidates, const ColourCast& cast) {
  for (const CastPatch& patch : cast_patches(cast, kRust)) {
    if (cv::norm(patch.mean) < kLeastRust) continue;
    if (share_at_edge(cast, whole_of(cast, patch), kRustReachUnits) < 0.5) continue;
    candidates.push_back(
        candidate_of("iron_stain", cast, patch.inside, patch.box.tl(), patch.mean, patch.log10_nfa));
  }
}

// Light sent back by what the fixer left shows over black and hardly over silver; tinted things and gilt are
// light. A haze ends somewhere among the darks, a yellow thing with its outline.
bool lies_over_darks(const ColourCast& cast, const cv::Mat& area, const Colour& mean) {
  const Colour direction = direction_of(mean);
  const double dark = tone_share(cast, kDarks);
  const auto in_darks = off_between(cast, area, direction, -1e9, dark);
  if (!in_darks || *in_darks < kLeastContrast) return false;
  const auto in_lights = off_between(cast, area, direction, tone_share(cast, kLights), 1e9);
  if (in_lights && *in_lights > kLessInLights * *in_darks) return false;
  if (2 * cv::countNonZero(area & (cast.tone <= dark)) < cv::countNonZero(area)) return false;
  return border_between_darks(cast, area, dark) >= kBetweenDarks;
}

void propose_yellow(std::vector<Candidate>& candidates, const ColourCast& cast, bool positive) {
  for (const CastPatch& patch : cast_patches(cast, kYellow)) {
    if (patch.area_px < kLeastHazeUnits2 * cast.px_per_unit * cast.px_per_unit) continue;
    const cv::Mat whole = whole_of(cast, patch);
    if (evenness(cast, whole, patch.mean) < kEven) continue;
    const bool is_haze =
        positive ? lies_over_darks(cast, whole, patch.mean) : border_on_outlines(cast, whole) <= kOnOutlines;
    if (!is_haze) continue;
    candidates.push_back(
        candidate_of("underfix_veil", cast, patch.inside, patch.box.tl(), patch.mean, patch.log10_nfa));
  }
}

}  // namespace

std::vector<Candidate> colour_faults(const Evidence& evidence) {
  const auto cast = colour_cast(evidence);
  std::vector<Candidate> candidates;
  if (!cast) return candidates;
  const bool positive = is_positive(evidence.kind);
  const auto lights = positive ? blue_lights(*cast) : std::nullopt;
  if (lights) propose_blue_lights(candidates, *cast, *lights);
  propose_green_to_blue(candidates, *cast, lights);
  if (evidence.kind == PlateKind::tintype) propose_rust(candidates, *cast);
  // A warm lamp mirrored in the varnish looks the same on a photo.
  if (!evidence.colour.photo) propose_yellow(candidates, *cast, positive);
  return candidates;
}

}  // namespace platewise::fault_detectors
