#include "colour_cast.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr double kSmoothUnits = 1.2;
constexpr double kSteepTone = 0.12;  // silver across a colour pixel: blur and channels off register tint it
constexpr int kEdgePx = 3;           // of the film, where what lies beside it is mixed in
constexpr int kFewestPx = 1000;
// Codes that a channel of an 8-bit file is off over a whole block of compression; what rounding does to a
// tone it does wherever this tone is, so that the curve has it already.
constexpr double kCodesOff = 0.4;
constexpr double kToneU = 0.03;  // of silver: film and light are not quite even
constexpr double kLeastLight = 1e-5;

// log10 of red and blue over green, and of the luminance.
void ratios(const cv::Mat& rgb, cv::Mat& colour, cv::Mat& light, cv::Mat& finite) {
  colour.create(rgb.size(), CV_32FC2);
  light.create(rgb.size(), CV_32FC1);
  finite.create(rgb.size(), CV_8UC1);
  for (int y = 0; y < rgb.rows; ++y)
    for (int x = 0; x < rgb.cols; ++x) {
      const cv::Vec3f& c = rgb.at<cv::Vec3f>(y, x);
      const bool is_light = std::min({c[0], c[1], c[2]}) > kLeastLight;  // false for NaN
      finite.at<std::uint8_t>(y, x) = is_light ? 255 : 0;
      colour.at<cv::Vec2f>(y, x) =
          is_light ? cv::Vec2f(std::log10(c[0] / c[1]), std::log10(c[2] / c[1])) : cv::Vec2f(0, 0);
      light.at<float>(y, x) = is_light ? 0.2126F * c[0] + 0.7152F * c[1] + 0.0722F * c[2] : 1.0F;
    }
}

// Silver of the mean light, as the mean colour is: fine lines would else be darker than their colour. Where
// light differs within a pixel, that much the tone of its colour is uncertain.
struct Tone {
  cv::Mat silver;
  cv::Mat u;
};
Tone tone_of(const Evidence& evidence, cv::Size size) {
  const double sign = (is_positive(evidence.kind) ? 1.0 : -1.0) * std::numbers::ln10;
  cv::Mat light;
  cv::exp(evidence.silver * sign, light);
  cv::Mat mean;
  cv::Mat square;
  cv::resize(light, mean, size, 0, 0, cv::INTER_AREA);
  cv::resize(light.mul(light), square, size, 0, 0, cv::INTER_AREA);
  Tone tone;
  cv::divide(square, mean.mul(mean), tone.u);
  tone.u = cv::max(tone.u - 1.0F, 0.0F) * (0.5 / std::numbers::ln10) + kToneU;
  cv::log(mean, tone.silver);
  tone.silver = tone.silver / sign;
  return tone;
}

// An sRGB code is about 255 light^(1/2.2), so one code is 2.2 / code of the light. Where the colour changes
// much with the tone, as on ruby glass, an uncertain tone makes an uncertain colour.
cv::Mat errors_of_colour(const cv::Mat& light, const Tone& tone, const ToneColour& curve, bool eight_bit) {
  cv::Mat u(light.size(), CV_32FC1, cv::Scalar(0));
  for (int y = 0; y < u.rows; ++y)
    for (int x = 0; x < u.cols; ++x) {
      const double here = tone.silver.at<float>(y, x);
      const double u_here = tone.u.at<float>(y, x);
      const double of_tone = 0.5 * cv::norm(curve.at(here + u_here) - curve.at(here - u_here));
      const double code =
          255.0 * std::pow(std::clamp(static_cast<double>(light.at<float>(y, x)), 1e-4, 1.0), 1.0 / 2.2);
      const double of_code = eight_bit ? kCodesOff * 2.2 / (code * std::numbers::ln10) : 0.0;
      u.at<float>(y, x) = static_cast<float>(std::hypot(of_code, of_tone));
    }
  return u;
}

cv::Mat off_curve(const cv::Mat& colour, const cv::Mat& tone, const cv::Mat& known, const ToneColour& curve) {
  cv::Mat off(colour.size(), CV_32FC2, cv::Scalar::all(0));
  for (int y = 0; y < off.rows; ++y)
    for (int x = 0; x < off.cols; ++x) {
      if (known.at<std::uint8_t>(y, x) == 0) continue;
      const Colour usual = curve.at(static_cast<double>(tone.at<float>(y, x)));
      const cv::Vec2f& here = colour.at<cv::Vec2f>(y, x);
      off.at<cv::Vec2f>(y, x) = {here[0] - static_cast<float>(usual[0]),
                                 here[1] - static_cast<float>(usual[1])};
    }
  return off;
}

}  // namespace

cv::Mat steepness(const cv::Mat& tone) {
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(tone, dx, CV_32F, 1, 0, 3, 1.0 / 8.0, 0.0, cv::BORDER_REPLICATE);
  cv::Sobel(tone, dy, CV_32F, 0, 1, 3, 1.0 / 8.0, 0.0, cv::BORDER_REPLICATE);
  cv::Mat steep;
  cv::magnitude(dx, dy, steep);
  return steep;
}

cv::Mat mean_known(const cv::Mat& picture, const cv::Mat& known, int size) {
  constexpr float kLeastShare = 0.25F;
  cv::Mat weight;
  cv::Mat sum;
  cv::Mat share;
  known.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::boxFilter(weight, share, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_CONSTANT);
  cv::boxFilter(picture, sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_CONSTANT);
  cv::Mat inverse = 1.0F / cv::max(share, kLeastShare);
  inverse.setTo(0.0F, share < kLeastShare);
  if (picture.channels() == 2) cv::merge(std::array{inverse, inverse}, inverse);
  return sum.mul(inverse);
}

std::optional<ColourCast> colour_cast(const Evidence& evidence) {
  const ColourImage& image = evidence.colour;
  if (image.empty() || (image.photo && !is_positive(evidence.kind))) return std::nullopt;
  ColourCast cast;
  cast.px_per_unit = image.px_per_unit;
  cv::Mat colour;
  cv::Mat light;
  cv::Mat finite;
  ratios(image.rgb, colour, light, finite);
  const Tone tone = tone_of(evidence, image.rgb.size());
  cast.tone = tone.silver;
  cv::Mat film = evidence.regions->film.inside.clone();
  if (!evidence.regions->glare.empty()) film.setTo(0, evidence.regions->glare.inside);
  cv::resize(film, cast.film, image.rgb.size(), 0, 0, cv::INTER_AREA);
  cast.film = (cast.film > 250) & finite;
  cv::erode(cast.film, cast.film, cv::Mat::ones(2 * kEdgePx + 1, 2 * kEdgePx + 1, CV_8UC1), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::resize(evidence.regions->picture.inside, cast.picture, image.rgb.size(), 0, 0, cv::INTER_AREA);
  cast.picture = (cast.picture > 250) & cast.film;
  cast.known = cast.film & (steepness(cast.tone) < kSteepTone);
  if (cv::countNonZero(cast.known) < kFewestPx) return std::nullopt;
  cast.curve = tone_colour(cast.tone, colour, cast.known);
  if (cast.curve.tones.empty()) return std::nullopt;
  // On a negative the lights are dense and dark: their colour is mostly the scanner's noise.
  if (is_positive(evidence.kind)) cast.curve = without_blue_lights(cast.curve);
  cast.off = off_curve(colour, cast.tone, cast.known, cast.curve);
  const int size = std::max(3, static_cast<int>(std::lround(kSmoothUnits * cast.px_per_unit)) | 1);
  cast.smooth = mean_known(cast.off, cast.known, size);
  const bool eight_bit = evidence.errors != nullptr && evidence.errors->code_u > 0.0;
  cast.u = errors_of_colour(light, tone, cast.curve, eight_bit);
  return cast;
}

}  // namespace platewise
