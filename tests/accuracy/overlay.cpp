#include "accuracy/overlay.h"

#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <opencv2/imgproc.hpp>

#include "platewise/density/to_density.h"
#include "platewise/locate/locate_plate.h"
#include "platewise/read/read_scan.h"
#include "platewise/regions/find_regions.h"

namespace platewise::accuracy {
namespace {

constexpr int kSidePx = 1000;

const cv::Scalar kGreen(0, 200, 0);
const cv::Scalar kRed(230, 0, 0);
const cv::Scalar kBlue(40, 90, 255);
const cv::Scalar kYellow(240, 220, 0);

// 8-bit colour for the screen, whatever the file holds.
cv::Mat visible(const heldout::PictureFile& file) {
  cv::Mat codes = file.pixels;
  if (codes.depth() == CV_16U) {
    cv::Mat light;
    codes.convertTo(light, CV_32F, 1.0 / 65535.0);
    if (!file.profile) cv::pow(light, 1.0 / 2.2, light);
    light.convertTo(codes, CV_8U, 255.0);
  }
  cv::Mat rgb = codes.clone();
  if (codes.channels() == 1) cv::cvtColor(codes, rgb, cv::COLOR_GRAY2RGB);
  return rgb;
}

void outline(cv::Mat& picture, const Polygon& points, const cv::Scalar& colour, double scale) {
  std::vector<cv::Point> scaled;
  for (const Point p : points)
    scaled.emplace_back(static_cast<int>(p.x * scale), static_cast<int>(p.y * scale));
  cv::polylines(picture, std::vector<std::vector<cv::Point>>{scaled}, true, colour, 2, cv::LINE_AA);
}

Polygon polygon(const Quad& quad) {
  return {quad.begin(), quad.end()};
}

cv::Mat small(const cv::Mat& picture, double& scale) {
  scale = kSidePx / static_cast<double>(std::max(picture.cols, picture.rows));
  cv::Mat out;
  cv::resize(picture, out, {}, scale, scale, cv::INTER_AREA);
  return out;
}

void draw_mask(cv::Mat& picture, const Mask& mask, const DensityImage& image, const PlateOutline& found,
               const cv::Scalar& colour, double scale) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(mask.inside.clone(), contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  const Homography scan_from_plate = found.scan_from_plate();
  for (const auto& contour : contours) {
    if (cv::contourArea(contour) < 100.0) continue;
    Polygon points;
    for (const cv::Point p : contour)
      points.push_back(scan_from_plate({(p.x + 0.5) / image.px_per_unit, (p.y + 0.5) / image.px_per_unit}));
    outline(picture, points, colour, scale);
  }
}

void draw_found(cv::Mat& picture, const Scan& scan, PlateKind kind, double scale) {
  const PlateOutline found = locate_plate(scan);
  if (!found.found) return;
  outline(picture, polygon(found.corners_px), kRed, scale);
  const auto density = to_density(
      scan, found,
      {.kind = kind, .light = kind == PlateKind::negative ? Light::transmitted : Light::reflected});
  if (!density) return;
  const Regions regions =
      find_regions(density->image,
                   {.kind = kind, .whole_frame = found.source == OutlineSource::frame, .photo = found.photo});
  draw_mask(picture, regions.picture, density->image, found, kBlue, scale);
  draw_mask(picture, regions.bare, density->image, found, kYellow, scale);
}

}  // namespace

void show_truth(const heldout::Rendering& rendering, const std::filesystem::path& folder, int index) {
  std::filesystem::create_directories(folder);
  double scale = 1.0;
  cv::Mat picture = small(visible(rendering.file), scale);
  outline(picture, polygon(rendering.truth.corners_px), kGreen, scale);
  heldout::write_png(picture, folder / fmt::format("{:03}.png", index));
}

void show_worst(std::vector<Worst> cases, int how_many, std::uint64_t seed,
                const std::filesystem::path& folder, const std::string& name) {
  std::filesystem::create_directories(folder);
  std::stable_sort(cases.begin(), cases.end(),
                   [](const Worst& a, const Worst& b) { return a.error > b.error; });
  cases.resize(std::min(cases.size(), static_cast<std::size_t>(how_many)));
  const auto photographs = heldout::installed_photographs();
  int rank = 0;
  for (const Worst& one : cases) {
    const heldout::Rendering rendering = heldout::rendering(seed, one.index, photographs);
    double scale = 1.0;
    cv::Mat picture = small(visible(rendering.file), scale);
    outline(picture, polygon(rendering.truth.corners_px), kGreen, scale);
    const auto file = heldout::write_picture(rendering.file, folder, "scan");
    if (const auto scan = read_scan(file)) draw_found(picture, *scan, rendering.truth.kind, scale);
    std::filesystem::remove(file);
    heldout::write_png(picture, folder / fmt::format("{}-{:02}.png", name, ++rank));
    std::cout << fmt::format("{}-{:02}: error {:.4f}, {}, {}\n", name, rank, one.error, rendering.story,
                             one.note);
  }
}

void show_faults(const heldout::FaultRendering& rendering, const std::vector<FoundMark>& found,
                 const Matching& matching, const std::filesystem::path& folder, const std::string& name) {
  std::filesystem::create_directories(folder);
  double scale = 1.0;
  cv::Mat picture = small(visible(rendering.file), scale);
  heldout::write_png(picture, folder / (name + "-plain.png"));
  const auto draw = [&](const Polygon& outline_mm, const cv::Scalar& colour, int width) {
    std::vector<cv::Point> points;
    for (const Point mm : outline_mm) {
      const Point px = scale * rendering.camera.px(mm);
      points.emplace_back(static_cast<int>(px.x), static_cast<int>(px.y));
    }
    if (points.empty()) return;
    const std::vector<std::vector<cv::Point>> outlines{points};
    cv::polylines(picture, outlines, true, colour, width, cv::LINE_AA);
  };
  for (const heldout::TrueMark& mark : rendering.marks)
    for (const Polygon& part : mark.parts_mm)
      draw(part, counts(mark) && mark.cnr >= kLeastCnr ? kGreen : kYellow, 2);
  for (std::size_t f = 0; f < found.size(); ++f)
    draw(found[f].outline_mm, matching.verdicts[f] == Verdict::neither ? kBlue : kRed, 1);
  heldout::write_png(picture, folder / (name + ".png"));
}

}  // namespace platewise::accuracy
