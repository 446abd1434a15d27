#include "accuracy/plate_drawing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "accuracy/plate_outlines.h"
#include "accuracy/plate_specks.h"
#include "accuracy/scenes.h"

namespace platewise::heldout {
namespace {

constexpr double kLn10 = std::numbers::ln10;
constexpr std::uint8_t kInside = 128;

cv::Mat as_share(const cv::Mat& mask) {
  cv::Mat share;
  mask.convertTo(share, CV_32F, 1.0 / 255.0);
  return share;
}

cv::Mat blurred(const cv::Mat& image, double sigma_px) {
  cv::Mat out;
  cv::GaussianBlur(image, out, {}, std::max(0.05, sigma_px));
  return out;
}

cv::Mat power_of_ten(const cv::Mat& exponent) {
  cv::Mat out;
  cv::exp(exponent * kLn10, out);
  return out;
}

cv::Mat log_ten(const cv::Mat& value) {
  cv::Mat out;
  cv::log(value, out);
  return out / kLn10;
}

// Log exposure of the film: the scene through the holder's opening with its soft shadow, uneven film
// included.
cv::Mat film_exposure(Random& random, const PlatePlan& plan, const cv::Mat& opening,
                      const std::vector<std::filesystem::path>& photographs) {
  const cv::Mat scene = plan.subject ? scene_log_exposure(random, opening.size(), *plan.subject, photographs)
                                     : scene_log_exposure(random, opening.size(), photographs);
  const cv::Mat light = blurred(as_share(opening), plan.px_per_mm * random.log_uniform(0.03, 0.35));
  const cv::Mat uneven = random.uniform(0.0, 0.05) * cloud(random, opening.size(), opening.cols / 1.5, 2);
  return scene + uneven + log_ten(cv::max(light, 1e-9));
}

// Grain in density: coarser and stronger where more silver lies; none on bare support.
struct Grain {
  cv::Mat pattern;
  double floor_sigma = 0.0;
  double silver_sigma = 0.0;
};

Grain drawn_grain(Random& random, const PlatePlan& plan, cv::Size size) {
  const double working = plan.px_per_mm / 12.0;
  Grain out;
  out.pattern = grain(random, size, working * random.uniform(0.5, 1.1), random.log_uniform(3.0, 30.0));
  out.floor_sigma = random.log_uniform(0.006, 0.02);
  out.silver_sigma = random.log_uniform(0.006, 0.03);
  return out;
}

cv::Mat grained(const Grain& grain, const PlatePlan& plan, const cv::Mat& density, const cv::Mat& film) {
  cv::Mat silver = cv::abs(density - plan.process.support_density);
  cv::sqrt(silver, silver);
  return density + grain.pattern.mul(grain.floor_sigma + grain.silver_sigma * silver).mul(film);
}

NoiseModel noise_of(const Grain& grain, const PlatePlan& plan) {
  const int aperture = std::max(1, static_cast<int>(std::lround(plan.px_per_mm * 5.0 / 12.0)));
  cv::Mat mean;
  cv::blur(grain.pattern, mean, {aperture, aperture});
  cv::Scalar of_mean;
  cv::Scalar sigma;
  cv::meanStdDev(mean, of_mean, sigma);
  return {grain.floor_sigma, grain.silver_sigma, sigma[0], plan.recording_sigma};
}

Canvas canvas_of(const PlateDrawing& drawing, const cv::Mat& opening, const cv::Mat& plate,
                 const cv::Mat& coated, const cv::Mat& film_share) {
  const PlatePlan& plan = drawing.plan;
  const double support = plan.process.support_density;
  const bool positive = is_positive(plan.process.kind);
  Canvas canvas;
  canvas.silver = cv::max(positive ? cv::Mat(support - coated) : cv::Mat(coated - support), 0.0);
  canvas.film = film_share;
  canvas.picture = as_share(opening);
  canvas.plate = as_share(plate);
  canvas.width_mm = plan.width_mm;
  canvas.height_mm = plan.height_mm;
  canvas.px_per_mm = plan.px_per_mm;
  canvas.border_mm = drawing.border_mm;
  double most = 0.0;
  cv::minMaxLoc(canvas.silver, nullptr, &most);
  canvas.full_silver = positive ? support - 0.35 : std::max(1.2, most);
  canvas.positive = positive;
  canvas.bare_light_density = support;
  return canvas;
}

// Draws the wanted faults into the coated density and the film's share.
void add_faults(Random& random, PlateDrawing& drawing, const cv::Mat& opening, const cv::Mat& plate,
                cv::Mat& coated, cv::Mat& film_share) {
  const PlatePlan& plan = drawing.plan;
  Canvas canvas = canvas_of(drawing, opening, plate, coated, film_share);
  canvas.drain_corner = random.integer(0, 3);
  canvas.dip_edge = random.integer(0, 3);
  canvas.pour_edge = random.integer(0, 3);
  drawing.marks = draw_faults(random, canvas, drawing.noise, plan.faults);
  const double support = plan.process.support_density;
  coated =
      canvas.positive ? cv::Mat(cv::max(support - canvas.silver, 0.2)) : cv::Mat(support + canvas.silver);
  film_share = canvas.film;
}

// The thickened line where the collodion stopped flowing, sometimes lighter, sometimes hardly there.
cv::Mat film_bead(Random& random, const PlatePlan& plan, const cv::Mat& film) {
  const cv::Mat inner = film - blurred(film, plan.px_per_mm * random.uniform(0.15, 0.5));
  const double strength = random.chance(0.6) ? random.log_uniform(0.02, 0.25) : 0.0;
  return strength * cv::max(inner, 0.0);
}

// Colour by mixing a support colour and a silver colour; each keeps the luminance, so density is untouched.
cv::Mat coloured(Random& random, const PlatePlan& plan, const cv::Mat& light) {
  if (!plan.colour) {
    cv::Mat grey;
    cv::cvtColor(light, grey, cv::COLOR_GRAY2RGB);
    return grey;
  }
  const auto tint = [&random](double warm) {
    const double r = 1.0 + warm;
    const double g = 1.0 + random.normal(0.0, 0.01);
    const double b = 1.0 - 1.3 * warm;
    const double y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    return cv::Scalar(r / y, g / y, b / y);
  };
  cv::Scalar dark = tint(random.normal(0.0, 0.04));
  if (plan.colours.ruby_glass) dark = cv::Scalar(3.1, 0.45, 0.30);
  const cv::Scalar bright = tint(random.uniform(-0.02, 0.14));
  const double white = is_positive(plan.process.kind) ? 0.4 : 1.0;
  cv::Mat share = cv::min(light / white, 1.0);
  std::vector<cv::Mat> channels;
  for (int c = 0; c < 3; ++c) channels.push_back(light.mul(dark[c] + (bright[c] - dark[c]) * share));
  cv::Mat rgb;
  cv::merge(channels, rgb);
  return rgb;
}

// Sides as cut, without the tenth at either end where corners are rounded, clipped or broken.
std::array<std::vector<Point>, 4> clear_sides(const CutPlate& plate) {
  std::array<std::vector<Point>, 4> sides;
  for (std::size_t i = 0; i < 4; ++i) {
    const auto& all = plate.sides_mm[i];
    const auto tenth = static_cast<std::ptrdiff_t>(all.size() / 10);
    sides[i].assign(all.begin() + tenth, all.end() - tenth);
  }
  return sides;
}

}  // namespace

PlateDrawing drawn_plate(Random& random, const PlatePlan& plan,
                         const std::vector<std::filesystem::path>& photographs) {
  PlateDrawing drawing;
  drawing.plan = plan;
  const double border = drawing.border_mm;
  const cv::Size size(static_cast<int>(std::ceil((plan.width_mm + 2 * border) * plan.px_per_mm)),
                      static_cast<int>(std::ceil((plan.height_mm + 2 * border) * plan.px_per_mm)));
  const auto fill = [&](const Polygon& outline) { return filled(outline, size, plan.px_per_mm, border); };

  const CutPlate cut = cut_plate(random, plan);
  const cv::Mat plate = fill(cut.outline_mm);
  const FilmEdge edge = film_edge(random, plan);
  cv::Mat film = fill(edge.outline_mm);
  for (const Polygon& bite : edge.bites_mm) film.setTo(0, fill(bite) > kInside);
  cv::min(film, plate, film);
  const Polygon opening_mm = holder_opening(random, plan);
  const cv::Mat opening = fill(opening_mm);

  cv::Mat film_share = blurred(as_share(film), 0.4);
  cv::Mat coated = finished_density(plan.process, film_exposure(random, plan, opening, photographs));
  const cv::Mat toward_silver =
      film_bead(random, plan, film_share) * (is_positive(plan.process.kind) ? -1.0 : 1.0);
  coated += toward_silver;
  const Grain grain = drawn_grain(random, plan, size);
  drawing.noise = noise_of(grain, plan);
  drawing.never_coated = (plate > kInside) & (film <= kInside);
  if (!plan.faults.empty()) {
    Random own = random.fork();
    add_faults(own, drawing, opening, plate, coated, film_share);
    film.setTo(0, film_share < 0.5);
  }
  coated = grained(grain, plan, coated, film_share);
  const cv::Mat bare = plan.process.support_density + 0.003 * cloud(random, size, 40.0, 4);
  const cv::Mat light = power_of_ten(-coated).mul(film_share) + power_of_ten(-bare).mul(1.0 - film_share);

  drawing.density = -log_ten(cv::max(light, 1e-6));
  drawing.light = coloured(random, plan, light);
  if (plan.colour && (plan.colours.tinted || !plan.colours.faults.empty())) {
    Random own(plan.colours.seed);
    const Canvas canvas = canvas_of(drawing, opening, plate, coated, film_share);
    if (plan.colours.tinted) tint_by_hand(own, canvas, drawing.light);
    for (TrueMark& mark : draw_colour_faults(own, canvas, drawing.light, plan.colours))
      drawing.marks.push_back(std::move(mark));
  }
  drawing.alpha = as_share(plate);
  drawing.film = film > kInside;
  drawing.picture = drawing.film & (opening > kInside);
  drawing.rim = drawing.film & (opening <= kInside);
  const cv::Mat uncoated = (plate > kInside) & (film <= kInside);
  drawing.bare_area_mm2 = cv::countNonZero(uncoated) / (plan.px_per_mm * plan.px_per_mm);
  drawing.support_density = plan.process.support_density;
  drawing.bare_corner = edge.bare_corner;
  drawing.sides_mm = clear_sides(cut);
  if (plan.rim != RimSides::none) drawing.opening_mm = opening_mm;
  if (plan.dirty) add_specks(random, drawing);
  return drawing;
}

}  // namespace platewise::heldout
