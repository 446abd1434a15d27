#include "scanner.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "noise.h"

namespace platewise {
namespace {

cv::Mat wooden(cv::Size size, double px_per_mm, Dice& dice) {
  cv::Mat light(size, CV_32FC1, cv::Scalar(dice.log_uniform(0.07, 0.3)));
  const cv::Mat rings = smooth_noise(size, 90.0 * px_per_mm, 5.0 * px_per_mm, dice);
  const cv::Mat fine = smooth_noise(size, 25.0 * px_per_mm, 0.5 * px_per_mm, dice);
  const cv::Mat pores = smooth_noise(size, 3.0 * px_per_mm, 0.12 * px_per_mm, dice);
  const double plank = dice.uniform(60.0, 140.0) * px_per_mm;
  const double first = dice.uniform(0.0, plank);
  for (int y = 0; y < size.height; ++y) {
    auto* row = light.ptr<float>(y);
    const double seam = std::abs(std::fmod(y - first + 100.0 * plank, plank));
    const double gap = seam < 0.5 * px_per_mm ? 0.4 : 1.0;
    for (int x = 0; x < size.width; ++x)
      row[x] *= static_cast<float>(gap * std::pow(10.0, 0.08 * std::sin(3.0 * rings.at<float>(y, x)) +
                                                            0.04 * fine.at<float>(y, x) +
                                                            0.035 * pores.at<float>(y, x)));
  }
  return light;
}

cv::Mat woven(cv::Size size, double px_per_mm, Dice& dice) {
  cv::Mat light(size, CV_32FC1, cv::Scalar(dice.log_uniform(0.02, 0.5)));
  const cv::Mat folds = fractal_noise(size, 90.0 * px_per_mm, 12.0 * px_per_mm, 0.55, dice);
  const cv::Mat weft = smooth_noise(size, 6.0 * px_per_mm, 0.4 * px_per_mm, dice);
  const cv::Mat warp = smooth_noise(size, 0.4 * px_per_mm, 6.0 * px_per_mm, dice);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      light.at<float>(y, x) *= std::pow(
          10.0F, 0.07F * folds.at<float>(y, x) + 0.04F * weft.at<float>(y, x) + 0.04F * warp.at<float>(y, x));
  return light;
}

cv::Mat paper(cv::Size size, double px_per_mm, Dice& dice) {
  cv::Mat light(size, CV_32FC1, cv::Scalar(dice.uniform(0.7, 0.86)));
  const cv::Mat fibres = fractal_noise(size, 3.0 * px_per_mm, 1.0, 0.8, dice);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      light.at<float>(y, x) *= std::pow(10.0F, 0.004F * fibres.at<float>(y, x));
  return light;
}

bool lies_on_white(const PlateOptions& options, Dice& dice) {
  if (options.medium == Medium::white_lid) return true;
  if (options.medium == Medium::black_bed) return false;
  return dice.chance(0.5);
}

cv::Mat surround(const PlateOptions& options, cv::Size size, Sight& sight, Dice& dice) {
  if (options.medium == Medium::phone_photo) {
    const bool wood = options.photo.table == Table::wood;
    sight.warm.setTo(cv::Scalar(wood                                  ? 1.4
                                : options.photo.table == Table::cloth ? dice.uniform(-1.0, 1.2)
                                                                      : 0.2));
    if (wood) return wooden(size, options.px_per_mm, dice);
    if (options.photo.table == Table::cloth) return woven(size, options.px_per_mm, dice);
    return paper(size, options.px_per_mm, dice);
  }
  sight.warm.setTo(cv::Scalar(0.1));
  const bool transmitted = !is_positive(options.process.kind);
  const bool white = lies_on_white(options, dice);
  const double level = white ? (transmitted ? 1.0 : dice.uniform(0.78, 0.88)) : dice.log_uniform(0.004, 0.02);
  cv::Mat light(size, CV_32FC1, cv::Scalar(level));
  const cv::Mat uneven = smooth_noise(size, size.width * 0.7, size.height * 0.7, dice);
  light += level * (white ? 0.008 : 0.1) * uneven;
  const int dust = dice.whole(5, 40);
  for (int i = 0; i < dust; ++i) {
    const cv::Point at(dice.whole(0, size.width - 1), dice.whole(0, size.height - 1));
    cv::circle(light, at, dice.whole(0, 1), cv::Scalar(white ? 0.5 * level : 0.08 + level), cv::FILLED);
  }
  return light;
}

// The plate lifts the lid a little: shade beside its edge, more on one side.
void add_shade(Sight& sight, const cv::Mat& cover, double px_per_mm, double strength, Dice& dice) {
  const double shift_x = dice.uniform(-1.2, 1.2) * px_per_mm;
  const double shift_y = dice.uniform(-1.2, 1.2) * px_per_mm;
  const cv::Mat moved_from = (cv::Mat_<double>(2, 3) << 1.0, 0.0, shift_x, 0.0, 1.0, shift_y);
  cv::Mat shade;
  cv::warpAffine(cover, shade, moved_from, cover.size(), cv::INTER_LINEAR, cv::BORDER_CONSTANT);
  shade = blurred(shade, 1.1 * px_per_mm);
  for (int y = 0; y < cover.rows; ++y)
    for (int x = 0; x < cover.cols; ++x)
      sight.light.at<float>(y, x) *= 1.0F - static_cast<float>(strength) * shade.at<float>(y, x);
}

// A thick or bevelled edge catches the lamp here and is black there.
void edge_glints(Sight& sight, const cv::Mat& cover, double px_per_mm, double strength, Dice& dice) {
  cv::Mat dx, dy, soft;
  cv::GaussianBlur(cover, soft, {}, std::max(0.6, 0.12 * px_per_mm));
  cv::Sobel(soft, dx, CV_32F, 1, 0, 3, 0.25 * px_per_mm * 0.3);
  cv::Sobel(soft, dy, CV_32F, 0, 1, 3, 0.25 * px_per_mm * 0.3);
  const double turn = dice.uniform(0.0, 6.283);
  const cv::Mat broken = fractal_noise(cover.size(), 15.0 * px_per_mm, 0.5 * px_per_mm, 0.7, dice);
  for (int y = 0; y < cover.rows; ++y)
    for (int x = 0; x < cover.cols; ++x) {
      const double facing = dx.at<float>(y, x) * std::cos(turn) + dy.at<float>(y, x) * std::sin(turn);
      const double glint = strength * facing * std::max(0.0, 0.6 + 0.6 * broken.at<float>(y, x));
      auto& light = sight.light.at<float>(y, x);
      light = static_cast<float>(std::max(0.2 * light, light + (glint > 0.0 ? 0.25 * glint : light * glint)));
    }
}

void uneven_photo_light(Sight& sight, const PlateOptions& options, Dice dice) {
  const PhotoOptions& photo = options.photo;
  const double turn = dice.uniform(0.0, 6.283);
  const cv::Size size = sight.light.size();
  const double glare_x = size.width * dice.uniform(0.3, 0.7);
  const double glare_y = size.height * dice.uniform(0.3, 0.7);
  const double glare_w = size.width * dice.uniform(0.05, 0.12);
  const double glare_h = size.height * dice.uniform(0.05, 0.12);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const double u = x / static_cast<double>(size.width) - 0.5;
      const double v = y / static_cast<double>(size.height) - 0.5;
      const double slope = u * std::cos(turn) + v * std::sin(turn);
      double light = (1.0 + photo.uneven_light * slope) * (1.0 - photo.vignetting * 2.0 * (u * u + v * v));
      auto& pixel = sight.light.at<float>(y, x);
      pixel = static_cast<float>(pixel * light);
      if (!photo.glare) continue;
      const double gx = std::abs(x - glare_x) / glare_w;
      const double gy = std::abs(y - glare_y) / glare_h;
      const double window = 1.0 / (1.0 + std::exp(12.0 * (std::max(gx, gy) - 1.0)));
      pixel += static_cast<float>(0.9 * window);
    }
}

}  // namespace

Sight laid_on_bed(const cv::Mat& plate_light, const cv::Mat& plate_cover, const Homography& px_from_sheet,
                  const Bedding& bedding, const PlateOptions& options, Dice dice,
                  const PlateColours& colours) {
  Sight sight;
  sight.warm = cv::Mat(bedding.size, CV_32FC1);
  sight.light = surround(options, bedding.size, sight, dice);
  cv::Mat matrix(3, 3, CV_64F);
  // Pixel centres: OpenCV counts from the centre of the first pixel, we from its corner.
  Eigen::Matrix3d to_corner, to_centre;
  to_corner << 1, 0, 0.5, 0, 1, 0.5, 0, 0, 1;
  to_centre << 1, 0, -0.5, 0, 1, -0.5, 0, 0, 1;
  const Eigen::Matrix3d map = to_centre * px_from_sheet.matrix * to_corner;
  for (int r = 0; r < 3; ++r)
    for (int c = 0; c < 3; ++c) matrix.at<double>(r, c) = map(r, c);
  cv::Mat light, cover;
  cv::warpPerspective(plate_light, light, matrix, bedding.size, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::warpPerspective(plate_cover, cover, matrix, bedding.size, cv::INTER_LINEAR, cv::BORDER_CONSTANT);
  if (!colours.stain.empty())
    cv::warpPerspective(colours.stain, sight.stain, matrix, bedding.size, cv::INTER_LINEAR,
                        cv::BORDER_CONSTANT);
  if (!colours.milk.empty())
    cv::warpPerspective(colours.milk, sight.milk, matrix, bedding.size, cv::INTER_LINEAR,
                        cv::BORDER_CONSTANT);
  const bool photo = options.medium == Medium::phone_photo;
  const auto support = static_cast<float>(options.support_warmth);
  if (options.ruby_glass) sight.ruby = cv::Mat(bedding.size, CV_32FC1, cv::Scalar(0));
  const bool glass = options.process.kind != PlateKind::tintype;
  add_shade(sight, cover, options.px_per_mm, photo ? 0.5 : (is_positive(options.process.kind) ? 0.25 : 0.02),
            dice);
  for (int y = 0; y < cover.rows; ++y)
    for (int x = 0; x < cover.cols; ++x) {
      const float share = cover.at<float>(y, x);
      auto& seen = sight.light.at<float>(y, x);
      auto& warm = sight.warm.at<float>(y, x);
      const float plate = light.at<float>(y, x);
      seen += share * (plate - seen);
      const float of_silver = std::min(1.0F, plate / 0.35F);
      warm += share * (support + (1.0F - support) * of_silver - warm);
      if (options.ruby_glass) sight.ruby.at<float>(y, x) = share * (1.0F - of_silver);
    }
  edge_glints(sight, cover, options.px_per_mm, glass ? 0.35 : 0.15, dice);
  if (photo) uneven_photo_light(sight, options, dice.part(1));
  return sight;
}

Sight blank_sheet(const Bedding& bedding, const PlateOptions& options, Dice dice) {
  constexpr double kPaperDensity = 0.07;  // PRACTICE
  Sight sight;
  sight.warm = cv::Mat(bedding.size, CV_32FC1, cv::Scalar(0.0));
  sight.light = cv::Mat(bedding.size, CV_32FC1, cv::Scalar(std::pow(10.0, -kPaperDensity)));
  PlateOptions matt = options;
  matt.photo.glare = false;
  if (options.medium == Medium::phone_photo) uneven_photo_light(sight, matt, dice.part(1));
  return sight;
}

}  // namespace platewise
