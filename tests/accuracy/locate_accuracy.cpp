#include "accuracy/locate_accuracy.h"

#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "accuracy/table.h"

namespace platewise::accuracy {
namespace {

// Targets, shares of the diagonal.
constexpr double kFlatbedTarget = 0.003;
constexpr double kPhotoTarget = 0.008;
constexpr double kWrong = 0.02;
// Rim, bare support and film edge must make up this share of a frame-filling scan before it can be known as a
// plate.
constexpr double kEvidenceShare = 0.01;

cv::Mat filled(const Quad& quad, cv::Size size) {
  std::vector<cv::Point> points;
  for (const Point p : quad) points.emplace_back(static_cast<int>(p.x), static_cast<int>(p.y));
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1);
  cv::fillConvexPoly(mask, points, cv::Scalar(255));
  return mask;
}

double overlap(const cv::Mat& a, const cv::Mat& b) {
  return cv::countNonZero(a & b) / std::max(1.0, static_cast<double>(cv::countNonZero(a | b)));
}

}  // namespace

double corner_error(const PlateOutline& outline, const heldout::Truth& truth) {
  const double diagonal = distance(truth.corners_px[0], truth.corners_px[2]);
  double worst = 0.0;
  for (std::size_t i = 0; i < 4; ++i)
    worst = std::max(worst, distance(outline.corners_px[i], truth.corners_px[i]) / diagonal);
  return worst;
}

bool took_the_opening(const PlateOutline& outline, const heldout::Truth& truth) {
  if (!outline.found || outline.source != OutlineSource::seen || !truth.has_rim) return false;
  if (corner_error(outline, truth) < 0.01) return false;
  const cv::Mat taken = filled(outline.corners_px, truth.plate.size());
  cv::Mat picture;  // with the holes that glare, scratches and bites leave in it closed
  cv::morphologyEx(truth.picture, picture, cv::MORPH_CLOSE, cv::Mat::ones(31, 31, CV_8UC1));
  return overlap(taken, picture) > 0.95 && overlap(taken, picture) > overlap(taken, truth.plate);
}

void LocateAccuracy::count(Group& group, const PlateOutline& outline, const heldout::Truth& truth,
                           double target) {
  ++group.all;
  if (!outline.found) return;
  ++group.found;
  const double error = corner_error(outline, truth);
  group.errors.push_back(error);
  if (error <= target) ++group.within;
  if (outline.confidence >= 0.5 && error > kWrong) ++group.confidently_wrong;
}

void LocateAccuracy::add(const PlateOutline& outline, const heldout::Truth& truth) {
  using heldout::Layout;
  if (truth.layout == Layout::frame_filling) {
    const bool evident = truth.evidence_share >= kEvidenceShare;
    ++(evident ? frame_.all : frame_.without_evidence);
    if (outline.found) ++(evident ? frame_.found : frame_.without_evidence_found);
    if (outline.found && evident && corner_error(outline, truth) <= kWrong) ++frame_.right;
    if (outline.found && outline.confidence > 0.6) ++frame_.too_confident;
    return;
  }
  const double target = truth.photo ? kPhotoTarget : kFlatbedTarget;
  count(by_layout_[heldout::kLayoutNames[static_cast<int>(truth.layout)]], outline, truth, target);
  if (truth.border_shows()) {
    count(truth.photo ? photo_ : flatbed_, outline, truth, target);
    return;
  }
  ++hidden_.all;
  const bool right = outline.found && corner_error(outline, truth) <= target;
  if (right || !outline.found || outline.confidence < 0.5 || outline.source == OutlineSource::frame)
    ++hidden_.honest;
  if (took_the_opening(outline, truth)) ++hidden_.opening;
}

void LocateAccuracy::add_not_a_plate(const PlateOutline& outline, const std::string& what) {
  ++not_plates_;
  if (!outline.found) return;
  ++called_plates_;
  ++called_[fmt::format("{} ({}, {:.2f})", what, name_of(outline.source), outline.confidence)];
}

void LocateAccuracy::print_group(std::ostream& out, const std::string& name, const Group& group) {
  out << fmt::format("  {:<34}{:>4}{:>8.1f}%{:>9.1f}%{:>9.2f}%{:>9.2f}%{:>9.2f}%{:>9}\n", name, group.all,
                     group.all > 0 ? 100.0 * group.found / group.all : 0.0,
                     group.all > 0 ? 100.0 * group.within / group.all : 0.0,
                     100.0 * quantile(group.errors, 0.5), 100.0 * quantile(group.errors, 0.95),
                     100.0 * quantile(group.errors, 1.0), group.confidently_wrong);
}

void LocateAccuracy::print(std::ostream& out) const {
  out << fmt::format(
      "\nLOCATE: worst corner of each plate, share of the diagonal\n  "
      "{:<34}{:>4}{:>9}{:>10}{:>10}{:>10}{:>10}{:>9}\n",
      "border shows on three sides", "n", "found", "within", "median", "95 %", "worst", "sure>2%");
  print_group(out, "flatbed (within 0.3 %)", flatbed_);
  print_group(out, "phone (within 0.8 %)", photo_);
  out << "  by layout, whether the border shows or not\n";
  for (const auto& [name, group] : by_layout_) print_group(out, "  " + name, group);
  out << '\n';
  print_share(out, "border hidden: right, confidence < 0.5, not found or frame", hidden_.honest, hidden_.all);
  print_share(out, "border hidden: rim's inner edge taken for the plate (target 1 %)", hidden_.opening,
              hidden_.all);
  print_share(out, "frame-filling with something of a plate: found (target 90 %)", frame_.found, frame_.all);
  print_share(out, "frame-filling with something of a plate: found, corners within 2 %", frame_.right,
              frame_.all);
  print_share(out, "frame-filling: confidence over 0.6", frame_.too_confident,
              frame_.all + frame_.without_evidence);
  print_share(out, "frame-filling, nothing of a plate shows: found", frame_.without_evidence_found,
              frame_.without_evidence);
  if (not_plates_ > 0) {
    print_share(out, "no plate, called one (target at most 5 %)", called_plates_, not_plates_);
    for (const auto& [what, times] : called_)
      out << "    " << what << (times > 1 ? fmt::format(" x{}", times) : "") << '\n';
  }
}

double LocateAccuracy::flatbed_found_share() const {
  return flatbed_.all > 0 ? flatbed_.found / static_cast<double>(flatbed_.all) : 1.0;
}

double LocateAccuracy::flatbed_median_error() const {
  return quantile(flatbed_.errors, 0.5);
}

double LocateAccuracy::not_a_plate_error_share() const {
  return not_plates_ > 0 ? called_plates_ / static_cast<double>(not_plates_) : 0.0;
}

}  // namespace platewise::accuracy
