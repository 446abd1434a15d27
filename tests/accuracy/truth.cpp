#include "accuracy/truth.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

constexpr double kWorkingPxPerMm = 12.0;  // the contract's aperture: 5 x 5 of these

double quantile(std::vector<float> values, double share) {
  const auto wanted = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + wanted, values.end());
  return values[static_cast<std::size_t>(wanted)];
}

double spread(const std::vector<float>& values) {
  return 0.5 * (quantile(values, 0.8413) - quantile(values, 0.1587));
}

bool inside(Point p, cv::Size size) {
  return p.x >= 0 && p.y >= 0 && p.x < size.width && p.y < size.height;
}

std::vector<float> values_where(const cv::Mat& image, const cv::Mat& mask) {
  std::vector<float> values;
  for (int y = 0; y < image.rows; ++y)
    for (int x = 0; x < image.cols; ++x)
      if (mask.at<std::uint8_t>(y, x) != 0) values.push_back(image.at<float>(y, x));
  return values;
}

cv::Mat eroded(const cv::Mat& mask, double px) {
  const int size = 2 * static_cast<int>(std::lround(px)) + 1;
  cv::Mat out;
  cv::erode(mask, out, cv::Mat::ones(size, size, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  return out;
}

// Mean light over a working pixel, as density, then the mean over 5 x 5 of them.
cv::Mat aperture_density(const PlateDrawing& plate) {
  cv::Mat light;
  cv::exp(plate.density * -std::log(10.0), light);
  cv::resize(light, light, {}, kWorkingPxPerMm / plate.plan.px_per_mm, kWorkingPxPerMm / plate.plan.px_per_mm,
             cv::INTER_AREA);
  cv::Mat density;
  cv::log(light, density);
  cv::blur(density / -std::log(10.0), density, {5, 5}, {-1, -1}, cv::BORDER_REPLICATE);
  return density;
}

// Part of the plate's raster (at working resolution) that the picture shows without glare.
cv::Mat shown(const PlateDrawing& plate, const Camera& camera, cv::Size picture, const cv::Mat& glare,
              cv::Size working) {
  cv::Mat mask = cv::Mat::zeros(working, CV_8UC1);
  for (int y = 0; y < working.height; ++y)
    for (int x = 0; x < working.width; ++x) {
      const Point mm{(x + 0.5) / kWorkingPxPerMm - plate.border_mm,
                     (y + 0.5) / kWorkingPxPerMm - plate.border_mm};
      const Point p = camera.px(mm);
      if (!inside(p, picture)) continue;
      const bool glaring =
          !glare.empty() && glare.at<std::uint8_t>(static_cast<int>(p.y), static_cast<int>(p.x)) != 0;
      if (!glaring) mask.at<std::uint8_t>(y, x) = 255;
    }
  return mask;
}

cv::Mat at_working(const cv::Mat& mask, cv::Size working) {
  cv::Mat out;
  cv::resize(mask, out, working, 0, 0, cv::INTER_AREA);
  return out > 250;
}

double side_contrast(const Side& side, const Quad& corners, std::size_t i, double px_per_mm,
                     const cv::Mat& codes) {
  const Point from = corners[i];
  const Point to = corners[(i + 1) % 4];
  const Point inward{-side.along.y, side.along.x};
  std::vector<float> within;
  std::vector<float> without;
  for (double t = 0.1; t < 0.9; t += 0.001)
    for (double mm = 0.6; mm <= 2.6; mm += 0.4) {
      const Point on = (1.0 - t) * from + t * to;
      const Point in = on + mm * px_per_mm * inward;
      const Point out = on - mm * px_per_mm * inward;
      if (!inside(in, codes.size()) || !inside(out, codes.size())) continue;
      within.push_back(codes.at<float>(static_cast<int>(in.y), static_cast<int>(in.x)));
      without.push_back(codes.at<float>(static_cast<int>(out.y), static_cast<int>(out.x)));
    }
  if (within.size() < 500) return 0.0;
  const double noise = std::max({spread(within), spread(without), 1e-4});
  return std::abs(quantile(within, 0.5) - quantile(without, 0.5)) / noise;
}

}  // namespace

bool Truth::border_shows() const {
  return std::count_if(side_contrast.begin(), side_contrast.end(),
                       [](double sigmas) { return sigmas >= 3.0; }) >= 3;
}

void measure_sides(const PlateDrawing& plate, const Camera& camera, cv::Size picture, Truth& truth) {
  std::array<Side, 4> sides = side_lines(plate, camera);
  const double w = picture.width;
  const double h = picture.height;
  const std::array<Side, 4> frame = {Side{{w / 2, 0}, {1, 0}}, Side{{w, h / 2}, {0, 1}},
                                     Side{{w / 2, h}, {-1, 0}}, Side{{0, h / 2}, {0, -1}}};
  for (std::size_t i = 0; i < 4; ++i) {
    truth.side_in_frame[i] = inside(sides[i].middle, picture);
    if (!truth.side_in_frame[i]) sides[i] = frame[i];
  }
  for (std::size_t i = 0; i < 4; ++i) truth.corners_px[i] = intersection(sides[(i + 3) % 4], sides[i]);
}

void measure_contrast(const PlateDrawing& plate, const Camera& camera, const cv::Mat& pixels, Truth& truth) {
  cv::Mat codes;
  pixels.convertTo(codes, CV_32F, pixels.depth() == CV_16U ? 1.0 / 65535.0 : 1.0 / 255.0);
  if (codes.channels() == 3) cv::cvtColor(codes, codes, cv::COLOR_RGB2GRAY);
  const std::array<Side, 4> sides = side_lines(plate, camera);
  for (std::size_t i = 0; i < 4; ++i)
    truth.side_contrast[i] =
        truth.side_in_frame[i] ? side_contrast(sides[i], truth.corners_px, i, truth.px_per_mm, codes) : 0.0;
}

void measure_plate(const PlateDrawing& plate, const Camera& camera, const Composition& composition,
                   const cv::Mat& glare, Truth& truth) {
  truth.plate = composition.plate;
  truth.film = composition.film & composition.plate;
  truth.picture = composition.picture & composition.plate;
  truth.glare = glare.empty() ? cv::Mat(cv::Mat::zeros(composition.plate.size(), CV_8UC1)) : glare;
  const double plate_px = std::max(1, cv::countNonZero(truth.plate));
  truth.covered_fraction = cv::countNonZero(truth.film) / plate_px;
  truth.evidence_share = 1.0 - cv::countNonZero(truth.picture) / static_cast<double>(truth.picture.total());

  const cv::Mat density = aperture_density(plate);
  const cv::Mat seen_part = shown(plate, camera, composition.plate.size(), glare, density.size());
  const double sign = is_positive(plate.plan.process.kind) ? 1.0 : -1.0;
  truth.support = plate.support_density;

  const cv::Mat picture = eroded(at_working(plate.picture, density.size()), 3) & seen_part;
  std::vector<float> silver = values_where(density, picture);
  for (float& value : silver) value = static_cast<float>(sign * (plate.support_density - value));
  const auto density_of_silver = [&](double share) { return truth.support - sign * quantile(silver, share); };
  truth.floor = density_of_silver(0.01);
  truth.midtone = density_of_silver(0.50);
  truth.highlight = density_of_silver(0.98);
  truth.fog = sign * (truth.support - truth.floor);
  truth.range = std::abs(truth.highlight - truth.floor);

  const cv::Mat rim_all = at_working(plate.rim, density.size()) & seen_part;
  const cv::Mat rim =
      eroded(rim_all, 6);                // half a millimetre off the film's edge and the holder's soft shadow
  constexpr int kRimLeastPx = 40 * 144;  // 40 mm2
  truth.has_rim = cv::countNonZero(rim_all) > kRimLeastPx && cv::countNonZero(rim) > kRimLeastPx / 4;
  if (truth.has_rim) {
    truth.margin = quantile(values_where(density, rim), 0.5);
    truth.floor_over_margin = sign * (*truth.margin - truth.floor);
  }
  const cv::Mat bare = cv::Mat(at_working(plate.film, density.size()) == 0) & seen_part;
  cv::Mat on_plate;
  cv::resize(plate.alpha, on_plate, density.size(), 0, 0, cv::INTER_AREA);
  truth.support_seen = cv::countNonZero(eroded(bare & (on_plate > 0.99), 4)) > 4 * 144;  // 4 mm2
}

}  // namespace platewise::heldout
