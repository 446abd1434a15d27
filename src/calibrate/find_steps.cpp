#include "platewise/calibrate/find_steps.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "log_light.h"
#include "patch.h"
#include "placement.h"
#include "step_row.h"

namespace platewise {
namespace {

constexpr double kSearchLongSidePx = 900.0;
constexpr double kBelievable = 1.5;  // cost of a placement

// The whole picture as log light, small enough to search, without single specks.
cv::Mat search_picture(const cv::Mat& luminance, double& shrink) {
  shrink = std::max(1.0, std::max(luminance.rows, luminance.cols) / kSearchLongSidePx);
  cv::Mat small = luminance;
  if (shrink > 1.0) {
    const cv::Size size(static_cast<int>(std::lround(luminance.cols / shrink)),
                        static_cast<int>(std::lround(luminance.rows / shrink)));
    cv::resize(luminance, small, size, 0, 0, cv::INTER_AREA);
  }
  cv::Mat calm;
  cv::medianBlur(small, calm, 3);
  cv::Mat picture(calm.size(), CV_32FC1);
  for (int y = 0; y < calm.rows; ++y) {
    for (int x = 0; x < calm.cols; ++x) {
      picture.at<float>(y, x) = static_cast<float>(log_light(calm.at<float>(y, x)));
    }
  }
  return picture;
}

Problem no_row(const Scan& scan) {
  return {scan.path.string(), "no step wedge found: no row of equally wide patches that darken one way",
          "scan the wedge alone, straight, with all its steps in the frame"};
}

Problem wrong_count(const Scan& scan, int seen, int listed) {
  const char* fits = seen > listed
                         ? "the row in the picture has more: {} are told apart"
                         : "{} are told apart in the picture, and the others do not fit beside them";
  return {
      scan.path.string(),
      fmt::format("the wedge file lists {} steps, but ", listed) + fmt::format(fmt::runtime(fits), seen),
      "check that the wedge file belongs to this wedge and that all steps lie in the frame, with a little "
      "border round them"};
}

// The count would do, give or take what may be ground: then something else speaks against the row.
Problem not_believed(const Scan& scan, const Placement& best, int seen, int listed) {
  const double most = std::max({best.wrong_way, best.ends, best.left_over, best.densities});
  const std::string row = fmt::format(
      "the row of {} patches in the picture does not go with the {} steps of the wedge file: ", seen, listed);
  if (most == best.densities) {
    return {
        scan.path.string(), row + "their tones do not go with the densities of the wedge file",
        "check that the wedge file belongs to this wedge, that all its steps lie in the frame, and that the "
        "scanner's automatic contrast is off"};
  }
  if (most == best.wrong_way) {
    return {scan.path.string(), row + "some are alike or lighter than the one before",
            "look for a reflection, a scratch or a patch of other tone across the steps, and scan again"};
  }
  return {
      scan.path.string(),
      row + "it seems to have another number of steps, or its ends cannot be told from the ground",
      "check that the wedge file has one line for each step of this wedge; if it has, leave a border of another "
      "tone round the steps, or cut the scan to the steps alone"};
}

Quad outline_working_px(const StepRow& row, int k, const cv::Mat& luminance, const cv::Mat& searched) {
  Homography source_from_turned;
  source_from_turned.matrix = row.source_from_turned;
  const double scale_x = static_cast<double>(luminance.cols) / searched.cols;
  const double scale_y = static_cast<double>(luminance.rows) / searched.rows;
  const double a = row.border(k);
  const double b = row.border(k + 1);
  Quad outline{{{a, row.top}, {b, row.top}, {b, row.bottom}, {a, row.bottom}}};
  for (Point& corner : outline) {
    corner = source_from_turned(corner);
    corner = {corner.x * scale_x, corner.y * scale_y};
  }
  return outline;
}

// The odds fall by e for each of this much cost; set on drawn plates (seeds 60000 ..), not on those that the
// accuracy program counts.
constexpr double kCostPerE = 0.12;

std::vector<OtherPlace> other_places(const std::vector<Placement>& all) {
  double sum = 0.0;
  for (const Placement& placement : all) sum += std::exp((all.front().cost - placement.cost) / kCostPerE);
  std::vector<OtherPlace> others;
  constexpr double kWorthNaming = 0.01;
  for (std::size_t i = 1; i < all.size(); ++i) {
    const double probability = std::exp((all.front().cost - all[i].cost) / kCostPerE) / sum;
    if (probability > kWorthNaming) others.push_back({all[i].first - all.front().first, probability});
  }
  return others;
}

PlacementOptions placement_options(const FindStepsOptions& options, int bits) {
  PlacementOptions result;
  result.count = options.count;
  result.bits = bits;
  result.hidden_steps = options.developed_plate;
  if (!options.developed_plate) result.densities = options.densities;
  return result;
}

}  // namespace

Result<FoundSteps> find_steps(const Scan& scan, const FindStepsOptions& options) {
  const cv::Mat& luminance = scan.image.luminance;
  double shrink = 1.0;
  const cv::Mat searched = search_picture(luminance, shrink);
  const auto row = find_step_row(searched, options.count);
  if (!row) return tl::make_unexpected(no_row(scan));
  const std::vector<Placement> all = placements(*row, placement_options(options, scan.bits));
  if (all.empty() || all.front().cost > kBelievable) {
    constexpr int kGroundMax = 2;
    const bool count_would_do = std::abs(row->patches() - options.count) <= kGroundMax && !all.empty();
    return tl::make_unexpected(count_would_do ? not_believed(scan, all.front(), row->patches(), options.count)
                                              : wrong_count(scan, row->patches(), options.count));
  }

  FoundSteps found;
  for (int k = 0; k < options.count; ++k) {
    FoundStep step =
        measured_patch(luminance, outline_working_px(*row, all.front().first + k, luminance, searched));
    for (Point& corner : step.outline_px) corner = scan.scan_px_per_working_px * corner;
    found.steps.push_back(step);
  }
  if (options.lighter == LighterEnd::dense) std::reverse(found.steps.begin(), found.steps.end());
  found.other_places = other_places(all);
  if (!found.other_places.empty()) {
    found.warnings.push_back(fmt::format(
        "the first and last step are hard to tell from their surroundings: check in the picture of the "
        "calibration that the {} outlines lie on the steps",
        options.count));
  }
  if (all.front().maybe_a_step_before) {
    found.warnings.push_back(fmt::format(
        "what lies before the clear step looks like one more step: check that the wedge has {} steps",
        options.count));
  }
  if (all.front().count_hidden_beyond) {
    found.warnings.push_back(fmt::format(
        "the dense end of the wedge does not stand out from its ground: a row too many or too few in the wedge "
        "file could not be seen; check that the wedge has {} steps",
        options.count));
  }
  const auto centre = [](const FoundStep& step) { return 0.5 * (step.outline_px[0] + step.outline_px[2]); };
  found.along_deg = screen_angle_deg(centre(found.steps.front()), centre(found.steps.back()));
  return found;
}

}  // namespace platewise
