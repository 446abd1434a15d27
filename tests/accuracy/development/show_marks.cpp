#include "accuracy/development/show_marks.h"

#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"
#include "platewise/write/write_picture.h"

namespace platewise::development {
namespace {

cv::Mat seen(const cv::Mat& density, bool positive) {
  std::vector<double> values;
  for (int y = 0; y < density.rows; y += 7)
    for (int x = 0; x < density.cols; x += 7)
      if (const float d = density.at<float>(y, x); d == d) values.push_back(d);
  const double low = quantile(values, 0.002);
  const double high = quantile(values, 0.998);
  const double sign = positive ? -1.0 : 1.0;  // silver is shown light
  cv::Mat grey;
  cv::Mat(density * sign)
      .convertTo(grey, CV_8U, 255.0 / (high - low), -255.0 * (positive ? -high : low) / (high - low));
  cv::Mat rgb;
  cv::cvtColor(grey, rgb, cv::COLOR_GRAY2RGB);
  return rgb;
}

void draw(cv::Mat& rgb, const Polygon& outline, double px_per_mm, const cv::Scalar& colour) {
  std::vector<cv::Point> points;
  for (const Point p : outline)
    points.emplace_back(static_cast<int>(p.x * px_per_mm), static_cast<int>(p.y * px_per_mm));
  cv::polylines(rgb, std::vector<std::vector<cv::Point>>{points}, true, colour, 1);
}

void widen_small(Polygon& outline, double by_mm) {
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};
  for (const Point p : outline) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  if (high.x - low.x > 2.0 || high.y - low.y > 2.0) return;
  outline = {{low.x - by_mm, low.y - by_mm},
             {high.x + by_mm, low.y - by_mm},
             {high.x + by_mm, high.y + by_mm},
             {low.x - by_mm, high.y + by_mm}};
}

}  // namespace

void show_marks(const DrawnPlate& plate, const std::vector<accuracy::FoundMark>& found,
                const accuracy::Matching& matching, const std::filesystem::path& folder,
                const std::string& name) {
  using accuracy::Verdict;
  std::filesystem::create_directories(folder);
  const double k = plate.density.image.px_per_unit;
  cv::Mat rgb = seen(plate.density.image.density, is_positive(plate.truth.kind));
  (void)write_picture(folder / (name + "-plain.png"), rgb, {.container = PictureContainer::png});
  const cv::Scalar grey(150, 150, 150);
  for (std::size_t m = 0; m < plate.truth.marks.size(); ++m) {
    const auto& mark = plate.truth.marks[m];
    const bool claims = accuracy::counts(mark) && mark.cnr >= accuracy::kLeastCnr;
    for (Polygon part : mark.parts_mm) {
      widen_small(part, 0.5);
      draw(rgb, part, k, !claims ? grey : matching.seen[m] ? cv::Scalar(0, 200, 0) : cv::Scalar(255, 230, 0));
    }
  }
  for (std::size_t f = 0; f < found.size(); ++f) {
    Polygon outline = found[f].outline_mm;
    widen_small(outline, 0.3);
    const Verdict verdict = matching.verdicts[f];
    draw(rgb, outline, k,
         verdict == Verdict::wrong ? cv::Scalar(255, 0, 0)
         : verdict == Verdict::hit ? cv::Scalar(60, 120, 255)
                                   : grey);
  }
  (void)write_picture(folder / (name + ".png"), rgb, {.container = PictureContainer::png});
}

}  // namespace platewise::development
