#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "log_light.h"
#include "patch.h"
#include "plate_steps.h"
#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"
#include "strip_borders.h"
#include "strip_count.h"

namespace platewise {
namespace {

constexpr double kSearchLongSidePx = 500.0;
constexpr std::size_t kStripsMin = 4;
constexpr std::size_t kStripsMax = 12;
// Hand timing is sure to about 5 %, and reciprocity bends long axes a little (common practice).
constexpr double kTimingU = 0.02;        // log exposure, each strip
constexpr double kSharedTimingU = 0.03;  // log exposure, all strips

std::optional<Problem> wrong_times(const std::vector<double>& times, const std::string& where) {
  const char* remedy = "give the whole exposure of each strip in order, as in --strips 4s,8s,16s,32s";
  if (times.size() < kStripsMin || times.size() > kStripsMax) {
    return Problem{where, fmt::format("{} strips cannot be used, 4 to 12 are needed", times.size()), remedy};
  }
  const bool rising = times[1] > times[0];
  for (std::size_t i = 0; i < times.size(); ++i) {
    if (!(times[i] > 0.0) || !std::isfinite(times[i]))
      return Problem{where, "strip times must be above zero", remedy};
    if (i > 0 && (rising ? times[i] <= times[i - 1] : times[i] >= times[i - 1])) {
      return Problem{where, "strip times must rise or fall from strip to strip", remedy};
    }
  }
  return std::nullopt;
}

// The part of the scan that the strips fill, and the way back.
struct StripPicture {
  cv::Mat luminance;
  Homography scan_from_picture;  // px
};

StripPicture strip_picture(const Scan& scan, const std::optional<Quad>& picture_px) {
  StripPicture picture;
  if (!picture_px) {
    picture.luminance = scan.image.luminance;
    picture.scan_from_picture.matrix.diagonal() << scan.scan_px_per_working_px, scan.scan_px_per_working_px,
        1.0;
    return picture;
  }
  Quad working = *picture_px;
  for (Point& corner : working) corner = (1.0 / scan.scan_px_per_working_px) * corner;
  const int width = std::max(1, static_cast<int>(std::lround(distance(working[0], working[1]))));
  const int height = std::max(1, static_cast<int>(std::lround(distance(working[1], working[2]))));
  picture.luminance =
      resampled(scan.image.luminance, target_from_source(rectangle(width, height), working), width, height);
  cv::patchNaNs(picture.luminance, 0.0);  // beyond the frame
  picture.scan_from_picture = target_from_source(rectangle(width, height), *picture_px);
  return picture;
}

// Quarter turn that brings the first strip to the left; and back from its continuous coordinates.
struct Turned {
  cv::Mat picture;
  Edge from = Edge::left;
  double width = 0.0;  // of the picture before turning
  double height = 0.0;

  [[nodiscard]] Point back(Point p) const {
    switch (from) {
      case Edge::right:
        return {width - p.x, height - p.y};
      case Edge::top:
        return {p.y, p.x};
      case Edge::bottom:
        return {p.y, height - p.x};
      case Edge::left:
        break;
    }
    return p;
  }
};

Turned turned(const cv::Mat& luminance, Edge from) {
  Turned result;
  result.from = from;
  result.width = luminance.cols;
  result.height = luminance.rows;
  if (from == Edge::left) result.picture = luminance;
  if (from == Edge::right) cv::flip(luminance, result.picture, -1);
  if (from == Edge::top) cv::transpose(luminance, result.picture);
  if (from == Edge::bottom) {
    cv::Mat flipped;
    cv::flip(luminance, flipped, 0);
    cv::transpose(flipped, result.picture);
  }
  return result;
}

cv::Mat small_log_light(const cv::Mat& luminance, double& shrink) {
  shrink = std::max(1.0, std::max(luminance.rows, luminance.cols) / kSearchLongSidePx);
  cv::Mat small;
  cv::resize(luminance, small, {}, 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
  cv::medianBlur(small, small, 3);
  for (int y = 0; y < small.rows; ++y) {
    for (int x = 0; x < small.cols; ++x) {
      float& value = small.at<float>(y, x);
      value = static_cast<float>(log_light(value));
    }
  }
  return small;
}

// The middle of the plate's height: margins and clamps lie outside.
cv::Mat without_margins(const cv::Mat& picture) {
  constexpr double kMargin = 0.12;
  const int cut = static_cast<int>(kMargin * picture.rows);
  return picture.rowRange(cut, picture.rows - cut);
}

bool run_the_other_way(const StripBorders& along, const StripBorders& against) {
  constexpr double kPlainly = 3.0;  // noise and the scene's own edges make a border or two either way
  return against.clearness > along.clearness + kPlainly;
}

std::string other_count(std::size_t listed, int seen) {
  return fmt::format("{} strips are listed, but {} are told apart in the picture", listed, seen);
}

// One side of a border in small stretches, as densities.
struct SideBySide {
  std::vector<double> left;
  std::vector<double> right;
};

SideBySide densities_at(const cv::Mat& picture, double x, const std::optional<DeviceCurve>& device) {
  constexpr int kBlocks = 40;
  const BorderWindow window = border_window(picture.cols);
  const int at = static_cast<int>(std::lround(x));
  SideBySide sides;
  const auto density = [&](cv::Range rows, cv::Range cols) {
    FoundStep step;
    step.signal.value = light_from_log(cv::mean(picture(rows, cols))[0]);
    return step_density(step, device).value;
  };
  for (int block = 0; block < kBlocks; ++block) {
    const cv::Range rows(block * picture.rows / kBlocks, (block + 1) * picture.rows / kBlocks);
    if (rows.empty()) continue;
    sides.left.push_back(density(rows, {at - window.gap - window.width, at - window.gap}));
    sides.right.push_back(density(rows, {at + window.gap, at + window.gap + window.width}));
  }
  return sides;
}

// Density of each strip: that of the first, then the median change across each border. A scene in the strips
// makes the changes scatter (its lights change otherwise than its shadows): half of that scatter goes into u.
std::vector<Quantity> chained_densities(const cv::Mat& picture, const std::vector<double>& borders,
                                        const std::optional<DeviceCurve>& device) {
  std::vector<Quantity> densities;
  for (const double border : borders) {
    const SideBySide sides = densities_at(picture, border, device);
    if (densities.empty()) {
      densities.push_back({median(sides.left), 0.3 * robust_sigma(sides.left)});
    }
    std::vector<double> changes;
    for (std::size_t i = 0; i < sides.left.size(); ++i) changes.push_back(sides.right[i] - sides.left[i]);
    densities.push_back(densities.back() + Quantity{median(changes), 0.5 * robust_sigma(changes)});
  }
  return densities;
}

FoundSteps outlined(const Turned& plate, const std::vector<double>& borders, double shrink,
                    const Homography& scan_from_picture) {
  FoundSteps found;
  const double length = plate.picture.cols;
  const double across = plate.picture.rows;
  std::vector<double> edges{0.0};
  for (const double border : borders) edges.push_back(border * shrink);
  edges.push_back(length);
  for (std::size_t k = 0; k + 1 < edges.size(); ++k) {
    Quad outline{{{edges[k], 0.0}, {edges[k + 1], 0.0}, {edges[k + 1], across}, {edges[k], across}}};
    for (Point& corner : outline) corner = plate.back(corner);
    FoundStep step = measured_patch(
        plate.picture,
        Quad{{{edges[k], 0.0}, {edges[k + 1], 0.0}, {edges[k + 1], across}, {edges[k], across}}});
    for (std::size_t i = 0; i < 4; ++i) step.outline_px[i] = scan_from_picture(outline[i]);
    found.steps.push_back(step);
  }
  return found;
}

}  // namespace

Result<PlateCalibration> calibrate_strips(const Scan& scan, const StripOptions& strips,
                                          const CalibratePlateOptions& options) {
  if (const auto problem = wrong_times(strips.times_s, scan.path.string()))
    return tl::make_unexpected(*problem);
  const auto doubts = device_warnings(scan, options);
  if (!doubts) return tl::make_unexpected(doubts.error());
  const auto even = evened_scan(scan, options.flat);
  if (!even) return tl::make_unexpected(even.error());
  const StripPicture picture = strip_picture(*even, strips.picture_px);
  const Turned plate = turned(picture.luminance, strips.from);
  double shrink = 1.0;
  const cv::Mat small = without_margins(small_log_light(plate.picture, shrink));
  const bool more_light_is_lighter = is_positive(options.kind);
  const bool rising = strips.times_s[1] > strips.times_s[0];
  const int rise = rising == more_light_is_lighter ? 1 : -1;
  const std::size_t count = strips.times_s.size() - 1;
  const StripBorders along = strip_borders(small, std::vector<int>(count, rise));
  if (run_the_other_way(along, strip_borders(small, std::vector<int>(count, -rise)))) {
    return failure(scan.path.string(), "the strips run the other way in the picture",
                   "check --from: the side of the first strip, and --kind");
  }
  const std::vector<double>& borders = along.at;
  const StripCount strips_in = count_strips(small, static_cast<int>(strips.times_s.size()), rise);
  if (strips_in.plain) {
    return failure(scan.path.string(), other_count(strips.times_s.size(), strips_in.seen),
                   "give the whole exposure of every strip in --strips, in the order they lie from --from");
  }

  const std::vector<Quantity> densities = chained_densities(small, borders, options.device);
  const double longest = *std::max_element(strips.times_s.begin(), strips.times_s.end());
  std::vector<CurveStep> steps;
  for (std::size_t k = 0; k < densities.size(); ++k) {
    constexpr double kUsualGamma = 1.2;
    steps.push_back({std::log10(strips.times_s[k] / longest), densities[k].value,
                     std::hypot(densities[k].u, kUsualGamma * kTimingU)});
  }
  CurveOptions of_curve = curve_options(options);
  of_curve.exposed_by = ExposedBy::strips;
  of_curve.shared_log_exposure_u = kSharedTimingU;
  if (!of_curve.exposure_s) of_curve.exposure_s = longest;
  auto curve = fitted_curve(steps, of_curve, scan, options);
  if (!curve) return tl::make_unexpected(curve.error());
  curve->warnings.emplace_back(
      "made from strips timed by hand: log exposure is that of the whole time of each strip against the "
      "longest, and less sure than a wedge's");
  curve->warnings.insert(curve->warnings.end(), doubts->begin(), doubts->end());
  if (strips_in.seen != static_cast<int>(strips.times_s.size())) {
    curve->warnings.push_back(
        other_count(strips.times_s.size(), strips_in.seen) +
        ": strips that got hardly any light or far too much look alike, so look in the picture of the "
        "calibration whether the outlines lie on the strips");
  }
  FoundSteps found = outlined(plate, borders, shrink, picture.scan_from_picture);
  if (rising) std::reverse(found.steps.begin(), found.steps.end());
  return PlateCalibration{*curve, found};
}

}  // namespace platewise
