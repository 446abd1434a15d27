#include "search_image.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

// Enough that a rim of 2% of a plate's side is still several pixels wide, small enough to search in 0.1 s.
constexpr double kSearchPixels = 220000.0;

// Linear light at which the cube root's steep foot is cut off: below a scanner's usual black level.
constexpr double kBlackFoot = 0.003;

}  // namespace

cv::Mat lightness_of(const cv::Mat& linear) {
  cv::Mat lifted = cv::max(linear, 0.0);
  lifted += cv::Scalar::all(kBlackFoot);
  cv::Mat lightness;
  cv::pow(lifted, 1.0 / 3.0, lightness);
  return lightness;
}

SearchImage search_image(const LinearImage& image) {
  const cv::Mat& source = image.rgb.empty() ? image.luminance : image.rgb;
  const double shrink = std::max(1.0, std::sqrt(static_cast<double>(source.total()) / kSearchPixels));
  const cv::Size size(std::max(1, static_cast<int>(std::lround(source.cols / shrink))),
                      std::max(1, static_cast<int>(std::lround(source.rows / shrink))));
  cv::Mat shrunk;
  cv::resize(source, shrunk, size, 0, 0, cv::INTER_AREA);
  SearchImage search;
  search.lightness = lightness_of(shrunk);
  search.working_px_per_px_x = static_cast<double>(source.cols) / size.width;
  search.working_px_per_px_y = static_cast<double>(source.rows) / size.height;
  cv::Mat first;
  cv::extractChannel(search.lightness, first, 0);
  search.noise = pixel_noise(first, {});
  return search;
}

cv::Mat one_channel(const SearchImage& search) {
  cv::Mat channel;
  cv::extractChannel(search.lightness, channel, search.lightness.channels() / 2);
  return channel;
}

double middle_lightness(const cv::Mat& lightness, Point from, Point to) {
  constexpr int kPlaces = 41;
  std::vector<float> tones;
  for (int i = 0; i < kPlaces; ++i) {
    const Point p = from + ((i + 0.5) / kPlaces) * (to - from);
    const int x = std::clamp(static_cast<int>(p.x), 0, lightness.cols - 1);
    const int y = std::clamp(static_cast<int>(p.y), 0, lightness.rows - 1);
    tones.push_back(lightness.at<float>(y, x));
  }
  std::nth_element(tones.begin(), tones.begin() + kPlaces / 2, tones.end());
  return static_cast<double>(tones[kPlaces / 2]);
}

cv::Mat outline_mask(cv::Size size, const Quad& corners, double scale) {
  Point centre{};
  for (const Point p : corners) centre = centre + 0.25 * p;
  std::vector<cv::Point> outline;
  for (const Point p : corners) {
    const Point q = centre + scale * (p - centre);
    outline.emplace_back(static_cast<int>(std::lround(q.x)), static_cast<int>(std::lround(q.y)));
  }
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1);
  cv::fillConvexPoly(mask, outline, cv::Scalar::all(255));
  return mask;
}

}  // namespace platewise
