#include "photo_light.h"

#include <Eigen/QR>
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kCells = 10;  // along either side
constexpr std::size_t kFewestPixels = 40;
constexpr int kFewestCellsOfASide = 3;
constexpr double kInsetUnits = 0.25;        // edges are blurred
constexpr double kLargestSlope = 0.35;      // density across the plate: more is no lamp
constexpr double kLargestDeparture = 0.05;  // robust sigma of the rim round the plane
constexpr double kEvenedPlaceU = 0.015;     // what a plane leaves: vignetting, the rim's own unevenness

struct RimCell {
  double x, y;  // -0.5 .. 0.5 across the plate
  double density;
};

std::vector<RimCell> rim_cells(const PlateDensity& plate, const Regions& regions) {
  const int inset = std::max(1, static_cast<int>(std::lround(kInsetUnits * plate.image.px_per_unit)));
  cv::Mat rim;
  cv::erode(regions.rim.inside, rim, cv::Mat::ones(2 * inset + 1, 2 * inset + 1, CV_8UC1), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar::all(0));
  std::array<std::vector<double>, kCells * kCells> densities;
  for (int y = 0; y < rim.rows; ++y) {
    for (int x = 0; x < rim.cols; ++x) {
      const float density = plate.image.density.at<float>(y, x);
      if (rim.at<std::uint8_t>(y, x) == 0 || !std::isfinite(density)) continue;
      const int row = y * kCells / rim.rows;
      const int column = x * kCells / rim.cols;
      densities[static_cast<std::size_t>(row) * kCells + static_cast<std::size_t>(column)].push_back(density);
    }
  }
  std::vector<RimCell> cells;
  for (std::size_t i = 0; i < densities.size(); ++i) {
    if (densities[i].size() < kFewestPixels) continue;
    const std::size_t row = i / kCells;
    const std::size_t column = i % kCells;
    cells.push_back({(static_cast<double>(column) + 0.5) / kCells - 0.5,
                     (static_cast<double>(row) + 0.5) / kCells - 0.5, median(densities[i])});
  }
  return cells;
}

bool three_sides(const std::vector<RimCell>& cells) {
  constexpr double kNearSide = 0.3;
  std::array<int, 4> counts{};
  for (const auto& cell : cells) {
    counts[0] += cell.x < -kNearSide ? 1 : 0;
    counts[1] += cell.x > kNearSide ? 1 : 0;
    counts[2] += cell.y < -kNearSide ? 1 : 0;
    counts[3] += cell.y > kNearSide ? 1 : 0;
  }
  return std::count_if(counts.begin(), counts.end(), [](int n) { return n >= kFewestCellsOfASide; }) >= 3;
}

// Least squares, again without the cells that depart most: a leak or a stain at the rim.
Eigen::Vector3d plane_through(std::vector<RimCell> cells) {
  Eigen::Vector3d plane = Eigen::Vector3d::Zero();
  for (int round = 0; round < 3; ++round) {
    Eigen::MatrixXd place(cells.size(), 3);
    Eigen::VectorXd density(cells.size());
    for (Eigen::Index i = 0; i < place.rows(); ++i) {
      const RimCell& cell = cells[static_cast<std::size_t>(i)];
      place.row(i) << 1.0, cell.x, cell.y;
      density[i] = cell.density;
    }
    plane = place.colPivHouseholderQr().solve(density);
    const Eigen::VectorXd departure = (density - place * plane).cwiseAbs();
    std::vector<double> sizes(departure.begin(), departure.end());
    const double limit = std::max(0.01, 3.0 * median(sizes));
    std::vector<RimCell> kept;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (sizes[i] <= limit) kept.push_back(cells[i]);
    }
    cells = std::move(kept);
  }
  return plane;
}

double departure_of(const std::vector<RimCell>& cells, const Eigen::Vector3d& plane) {
  std::vector<double> departures;
  departures.reserve(cells.size());
  for (const auto& cell : cells) {
    departures.push_back(cell.density - plane.dot(Eigen::Vector3d(1.0, cell.x, cell.y)));
  }
  return robust_sigma(departures);
}

}  // namespace

void even_out_photo_light(PlateDensity& plate, const Regions& regions) {
  if (regions.rim.empty()) return;
  const std::vector<RimCell> cells = rim_cells(plate, regions);
  if (!three_sides(cells)) return;
  const Eigen::Vector3d plane = plane_through(cells);
  if (std::hypot(plane[1], plane[2]) > kLargestSlope || departure_of(cells, plane) > kLargestDeparture)
    return;

  cv::Mat light(plate.image.density.size(), CV_32FC1);
  for (int y = 0; y < light.rows; ++y) {
    const double along_y = plane[2] * ((y + 0.5) / light.rows - 0.5);
    for (int x = 0; x < light.cols; ++x) {
      light.at<float>(y, x) = static_cast<float>(along_y + plane[1] * ((x + 0.5) / light.cols - 0.5));
    }
  }
  for (cv::Mat* density : {&plate.image.density, &plate.lowest, &plate.highest}) {
    *density = *density - light;
  }
  plate.errors.place_u = kEvenedPlaceU;
}

}  // namespace platewise
