#include "platewise/demo/render_plate.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "exposure.h"
#include "noise.h"
#include "plate_layers.h"
#include "polygon_clip.h"
#include "scanner.h"

namespace platewise {
namespace {

constexpr double kMmPerInch = 25.4;
constexpr double kGrainFloor = 0.004;  // tau: collodion itself is not quite even; rims are seen to carry it

cv::Mat plate_tau(const PlateLayers& layers, const cv::Mat& image_tau, double fog_tau) {
  return layers.film.mul(image_tau.mul(layers.thickness) + fog_tau + layers.veil);
}

// Grain: sigma grows with the square root of the silver, and with the fineness of the aperture (Selwyn 1935).
void add_grain(cv::Mat& tau, const PlateLayers& layers, const ProcessParameters& process, Dice dice) {
  const cv::Size size = tau.size();
  const double aperture = layers.frame.px_per_mm / 12.0;
  const cv::Mat fine = white_noise(size, dice);
  const cv::Mat clumps = smooth_noise(size, 0.12 * layers.frame.px_per_mm, dice);
  for (int y = 0; y < size.height; ++y) {
    auto* row = tau.ptr<float>(y);
    const auto* film = layers.film.ptr<float>(y);
    const auto* grain = fine.ptr<float>(y);
    const auto* clump = clumps.ptr<float>(y);
    for (int x = 0; x < size.width; ++x) {
      const double sigma = process.grain * std::sqrt(std::max(0.0F, row[x]) + kGrainFloor * film[x]);
      row[x] += static_cast<float>(sigma * (0.85 * aperture * grain[x] + 0.5 * clump[x]));
    }
  }
}

// Light that comes off the plate, as the scanner's directed light sees it.
cv::Mat plate_light(const PlateLayers& layers, const cv::Mat& tau, const PlateOptions& options, Dice dice) {
  const cv::Mat density = density_of(tau, options.process);
  const cv::Mat lacquer =
      fractal_noise(tau.size(), 20.0 * options.px_per_mm, 0.5 * options.px_per_mm, 0.5, dice);
  cv::Mat light(tau.size(), CV_32FC1);
  const double contrast = options.device.contrast * std::log(10.0);
  for (int y = 0; y < tau.rows; ++y)
    for (int x = 0; x < tau.cols; ++x) {
      const double on_top = layers.dust.at<float>(y, x);
      const double even = density.at<float>(y, x) + 0.002 * lacquer.at<float>(y, x);
      light.at<float>(y, x) =
          static_cast<float>((1.0 - on_top) * std::exp(-contrast * even) +
                             on_top * std::exp(-contrast * layers.dust_density.at<float>(y, x)));
    }
  return light;
}

// From the drawing sheet to the plate's own frame: the cut quad stretched to the nominal size.
cv::Mat in_plate_frame(const cv::Mat& layer, const PlateFrame& frame) {
  std::array<cv::Point2f, 4> from;
  for (std::size_t c = 0; c < 4; ++c) {
    const Point px = frame.px(frame.cut[c]);
    from[c] = {static_cast<float>(px.x - 0.5), static_cast<float>(px.y - 0.5)};
  }
  const auto w = static_cast<float>(frame.width_mm * frame.px_per_mm);
  const auto h = static_cast<float>(frame.height_mm * frame.px_per_mm);
  const std::array<cv::Point2f, 4> to{
      cv::Point2f{-0.5F, -0.5F}, {w - 0.5F, -0.5F}, {w - 0.5F, h - 0.5F}, {-0.5F, h - 0.5F}};
  cv::Mat result;
  cv::warpPerspective(layer, result, cv::getPerspectiveTransform(from.data(), to.data()),
                      {static_cast<int>(std::lround(w)), static_cast<int>(std::lround(h))},
                      layer.depth() == CV_8U ? cv::INTER_NEAREST : cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  return result;
}

Polygon mapped(const Polygon& outline, const Homography& map) {
  Polygon result;
  result.reserve(outline.size());
  for (Point p : outline) result.push_back(map(p));
  return result;
}

void settle_box(TrueFault& fault) {
  if (fault.outline_mm.empty()) return;
  Point low = fault.outline_mm.front();
  Point high = low;
  for (Point p : fault.outline_mm) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  fault.box_origin_mm = low;
  fault.box_width_mm = high.x - low.x;
  fault.box_height_mm = high.y - low.y;
}

double median_over(const cv::Mat& picture, const cv::Mat& mask) {
  return percentile(picture, mask, 0.5);
}

// A scan that is cropped at the plate does not show all of it: what is true is said of what can be seen.
void note_what_is_seen(PlateLayers& layers, const Bedding& bedding) {
  for (int y = 0; y < layers.seen.rows; ++y)
    for (int x = 0; x < layers.seen.cols; ++x) {
      const Point px = bedding.px_from_mm({layers.frame.mm_x(x), layers.frame.mm_y(y)});
      if (px.x < 0.0 || px.y < 0.0 || px.x >= bedding.size.width || px.y >= bedding.size.height)
        layers.seen.at<std::uint8_t>(y, x) = 0;
    }
}

// Share of film, bare corners and whether support can be seen.
void describe_cover(PlateTruth& truth, const PlateLayers& layers) {
  const PlateFrame& frame = layers.frame;
  const cv::Mat plate = (layers.plate > 0.5F) & layers.seen;
  const cv::Mat film = plate & (layers.film > 0.5F);
  truth.covered_fraction =
      cv::countNonZero(film) / std::max(1.0, static_cast<double>(cv::countNonZero(plate)));
  const double bare_mm2 =
      (cv::countNonZero(plate) - cv::countNonZero(film)) / (frame.px_per_mm * frame.px_per_mm);
  constexpr double kSeenMm2 = 10.0;
  truth.support_visible = bare_mm2 >= kSeenMm2;
  constexpr double kBareShare = 0.05;
  const double limit = kBareShare * std::min(frame.width_mm, frame.height_mm);
  const Point middle = 0.5 * (frame.cut[0] + frame.cut[2]);
  for (std::size_t c = 0; c < 4; ++c) {
    const Point from = frame.cut[c];
    const Point toward{middle.x > from.x ? std::sqrt(0.5) : -std::sqrt(0.5),
                       middle.y > from.y ? std::sqrt(0.5) : -std::sqrt(0.5)};
    double depth = 0.0;
    for (double run = 0.2; run < 40.0; run += 0.1) {
      const Point px = frame.px(from + run * toward);
      const auto x = static_cast<int>(px.x);
      const auto y = static_cast<int>(px.y);
      if (x < 0 || y < 0 || x >= film.cols || y >= film.rows) break;
      if (layers.seen.at<std::uint8_t>(y, x) == 0) continue;
      if (film.at<std::uint8_t>(y, x) != 0) break;
      depth = run;
    }
    truth.bare_corner_mm[c] = depth;
    if (depth > limit) truth.uncovered_corners.push_back(static_cast<Corner>(c));
  }
}

// How much each fault really changes the plate: a thinned film over black shows nothing.
void measure_contrasts(std::vector<TrueFault>& faults, const PlateLayers& layers, const cv::Mat& clean,
                       const cv::Mat& spoilt) {
  cv::Mat change = spoilt - clean;
  const cv::Mat on_top = (layers.dust_density - clean).mul(layers.dust);
  change += on_top;
  constexpr double kShare = 0.98;
  for (TrueFault& fault : faults) {
    if (fault.outline_mm.empty()) continue;
    cv::Mat inside = cv::Mat::zeros(change.size(), CV_8UC1);
    std::vector<cv::Point> outline;
    for (Point mm : fault.outline_mm) {
      const Point px = layers.frame.px(mm);
      outline.emplace_back(static_cast<int>(px.x), static_cast<int>(px.y));
    }
    cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
    inside &= layers.plate > 0.5F;
    if (fault.count > 1) inside &= layers.faulty;  // of a group only the dots themselves
    if (cv::countNonZero(inside) == 0) continue;
    const double denser = percentile(change, inside, kShare);
    const double lighter = percentile(change, inside, 1.0 - kShare);
    fault.contrast = denser > -lighter ? denser : lighter;
  }
}

void describe_tones(PlateTruth& truth, const PlateLayers& layers, const cv::Mat& clean, const cv::Mat& area) {
  const bool positive = is_positive(truth.kind);
  const cv::Mat averaged = contract_aperture(clean, layers.frame.px_per_mm);
  const auto silver_percentile = [&](double share) {
    return percentile(averaged, area, positive ? 1.0 - share : share);
  };
  truth.support_density = truth.process.support_density;
  truth.floor_density = silver_percentile(0.01);
  truth.midtone_density = silver_percentile(0.50);
  truth.highlight_density = silver_percentile(0.98);
  truth.range = std::abs(truth.highlight_density - truth.floor_density);
  const double sign = positive ? 1.0 : -1.0;
  truth.fog = sign * (truth.support_density - truth.floor_density);
  const cv::Mat rim =
      (layers.plate > 0.99F) & (layers.film > 0.99F) & (layers.opening < 0.002F) & layers.seen;
  constexpr double kRimMm2 = 20.0;
  if (cv::countNonZero(rim) < kRimMm2 * layers.frame.px_per_mm * layers.frame.px_per_mm) return;
  truth.margin_density = median_over(clean, rim);
  truth.margin_fog = sign * (truth.support_density - *truth.margin_density);
  truth.floor_over_margin = std::abs(truth.floor_density - *truth.margin_density);
}

void describe_geometry(PlateTruth& truth, const PlateLayers& layers, const Bedding& bedding,
                       std::vector<TrueFault> faults) {
  const PlateFrame& frame = layers.frame;
  const Quad& cut = frame.cut;
  for (std::size_t c = 0; c < 4; ++c) truth.corners_px[c] = bedding.px_from_mm(cut[c]);
  truth.width_mm = frame.width_mm;
  truth.height_mm = frame.height_mm;
  truth.cut_width_mm = 0.5 * (distance(cut[0], cut[1]) + distance(cut[3], cut[2]));
  truth.cut_height_mm = 0.5 * (distance(cut[0], cut[3]) + distance(cut[1], cut[2]));
  truth.px_per_mm = std::sqrt(area(truth.corners_px) / (truth.cut_width_mm * truth.cut_height_mm));
  const Homography plate_from_sheet = target_from_source(cut, rectangle(frame.width_mm, frame.height_mm));
  if (!layers.opening_outline_mm.empty())
    truth.image_area_mm = clipped_to_rectangle(mapped(layers.opening_outline_mm, plate_from_sheet),
                                               frame.width_mm, frame.height_mm);
  for (TrueFault& fault : faults) {
    fault.outline_mm =
        clipped_to_rectangle(mapped(fault.outline_mm, plate_from_sheet), frame.width_mm, frame.height_mm);
    for (Polygon& part : fault.other_parts_mm)
      part = clipped_to_rectangle(mapped(part, plate_from_sheet), frame.width_mm, frame.height_mm);
    settle_box(fault);
  }
  truth.faults = std::move(faults);
  for (TrueSpeck speck : layers.specks) {
    speck.outline_mm = mapped(speck.outline_mm, plate_from_sheet);
    truth.specks.push_back(std::move(speck));
  }
  for (TrueStep& step : truth.steps)
    for (std::size_t c = 0; c < 4; ++c) {
      step.corners_px[c] = bedding.px_from_mm(step.corners_mm[c]);
      step.corners_mm[c] = plate_from_sheet(step.corners_mm[c]);
    }
}

PlateTruth truth_of(const PlateOptions& options) {
  PlateTruth truth;
  truth.kind = options.process.kind;
  truth.light = is_positive(truth.kind) ? Light::reflected : Light::transmitted;
  truth.medium = name_of(options.medium);
  truth.scene = options.photograph ? "photograph" : std::string(name_of(options.scene));
  truth.exposure_error_stops = options.exposure_error_stops;
  truth.development_factor = options.development_factor;
  truth.extra_fog = options.process.extra_fog;
  truth.exposure_s = options.exposure_s;
  truth.development_s = options.development_s;
  truth.process = options.process;
  truth.device = options.device;
  return truth;
}

PictureFormat format_of(const PlateOptions& options) {
  PictureFormat format;
  const bool photo = options.medium == Medium::phone_photo;
  format.container = options.jpeg || photo ? PictureContainer::jpeg : PictureContainer::tiff;
  format.compression = TiffCompression::deflate;
  format.jpeg_quality = options.jpeg_quality;
  format.from_camera = photo;
  format.dpi = photo ? 72.0 : options.px_per_mm * kMmPerInch;
  if (options.profile && options.device.curve == ToneCurve::srgb) format.profile = EmbeddedProfile::srgb;
  if (options.profile && options.device.curve == ToneCurve::gamma_22)
    format.profile = EmbeddedProfile::grey_gamma_22;
  return format;
}

}  // namespace

PlateRendering render_plate(const PlateOptions& options) {
  const Dice dice(options.seed);
  PlateRendering rendering;
  rendering.truth = truth_of(options);
  rendering.format = format_of(options);

  PlateLayers layers = blank_layers(options, dice.part(1));
  const Bedding bedding = lay_down(options, dice.part(6));
  note_what_is_seen(layers, bedding);
  const cv::Mat log_exposure = exposed(layers, options, dice.part(2));
  const cv::Mat image_tau = developed(log_exposure, options.process, options.development_factor);
  const double fog_tau =
      tau_of_silver(options.process, chemical_fog(options.process, options.development_factor));
  const cv::Mat clean = density_of(plate_tau(layers, image_tau, fog_tau), options.process);
  describe_cover(rendering.truth, layers);
  const cv::Mat poured = (layers.film > 0.5F) & (layers.plate > 0.5F);

  layers.image_tau = image_tau;
  layers.iron = options.process.kind == PlateKind::tintype;
  layers.transmitted = !is_positive(options.process.kind);
  std::vector<TrueFault> faults = spoil(layers, options, dice.part(3));
  const cv::Mat area = tone_area(layers, true);
  describe_tones(rendering.truth, layers, clean, area);

  cv::Mat tau = plate_tau(layers, image_tau, fog_tau);
  const cv::Mat spoilt = density_of(tau, options.process);
  measure_contrasts(faults, layers, clean, spoilt);
  const cv::Mat on_top = (layers.dust_density - spoilt).mul(layers.dust);
  add_grain(tau, layers, options.process, dice.part(4));
  const cv::Mat light = plate_light(layers, tau, options, dice.part(5));
  rendering.truth.steps = exposed_steps(layers, options);
  describe_geometry(rendering.truth, layers, bedding, std::move(faults));

  Homography mm_from_sheet_px;
  mm_from_sheet_px.matrix << 1.0 / options.px_per_mm, 0, -layers.frame.border_mm,  //
      0, 1.0 / options.px_per_mm, -layers.frame.border_mm, 0, 0, 1;
  const Homography px_from_sheet{bedding.px_from_mm.matrix * mm_from_sheet_px.matrix};
  const Sight sight = laid_on_bed(light, layers.plate, px_from_sheet, bedding, options, dice.part(7),
                                  {layers.stain, layers.milk});
  rendering.pixels = scanned(sight, options.device, dice.part(8));

  rendering.clean_density.px_per_unit = options.px_per_mm;
  rendering.clean_density.density = in_plate_frame(clean, layers.frame);
  rendering.clean_density.density.setTo(cv::Scalar(std::nan("")),
                                        in_plate_frame(layers.plate, layers.frame) < 0.5F);
  rendering.spoilt_density.px_per_unit = options.px_per_mm;
  rendering.spoilt_density.density = in_plate_frame(spoilt + on_top, layers.frame);
  rendering.poured.inside = in_plate_frame(poured, layers.frame);
  rendering.film.inside = in_plate_frame((layers.film > 0.5F) & (layers.plate > 0.5F), layers.frame);
  rendering.picture.inside = in_plate_frame(area, layers.frame);
  rendering.faulty.inside = in_plate_frame(layers.faulty, layers.frame);
  return rendering;
}

cv::Mat render_blank_sheet(const PlateOptions& options) {
  const Dice dice(options.seed);
  const Bedding bedding = lay_down(options, dice.part(6));
  return scanned(blank_sheet(bedding, options, dice.part(7)), options.device, dice.part(9));
}

}  // namespace platewise
