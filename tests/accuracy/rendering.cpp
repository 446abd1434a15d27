#include "accuracy/rendering.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "accuracy/camera.h"
#include "accuracy/compose.h"
#include "accuracy/plate_drawing.h"
#include "accuracy/recording.h"
#include "accuracy/surround.h"
#include "accuracy/truth.h"

namespace platewise::heldout {
namespace {

// The round of layouts; bit depths and kinds go round with other periods, so that all meet.
constexpr Layout kRound[] = {Layout::white_lid,
                             Layout::frame_filling,
                             Layout::photo,
                             Layout::black_bed,
                             Layout::overhanging,
                             Layout::photo,
                             Layout::white_lid,
                             Layout::light_table,
                             Layout::frame_filling,
                             Layout::photo,
                             Layout::two_plates,
                             Layout::black_rim_black_bed,
                             Layout::white_lid,
                             Layout::masked,
                             Layout::frame_filling,
                             Layout::photo,
                             Layout::black_bed,
                             Layout::white_lid,
                             Layout::black_rim_black_bed};
constexpr int kRoundLength = static_cast<int>(std::size(kRound));

struct TradeSize {
  double width_mm;
  double height_mm;
};
// Handbook numbers.csv: ninth, sixth, quarter, half, 4x5.
constexpr TradeSize kSizes[] = {{50.8, 63.5}, {69.8, 82.5}, {82.5, 107.9}, {107.9, 139.7}, {101.6, 127.0}};

bool negative_layout(Layout layout) {
  return layout == Layout::light_table || layout == Layout::masked;
}

PlatePlan drawn_plan(Random& random, Layout layout) {
  PlatePlan plan;
  const bool negative = negative_layout(layout) || (layout == Layout::frame_filling && random.chance(0.15));
  const PlateKind kind =
      negative ? PlateKind::negative : (random.chance(0.65) ? PlateKind::tintype : PlateKind::ambrotype);
  plan.process = drawn_process(random, kind);
  TradeSize size = kSizes[random.integer(0, 4)];
  if (random.chance(0.35)) std::swap(size.width_mm, size.height_mm);
  plan.width_mm = size.width_mm + random.normal(0.0, 0.6);
  plan.height_mm = size.height_mm + random.normal(0.0, 0.6);
  const double cut = random.uniform();
  plan.corners = cut < 0.5   ? CornerCut::sharp
                 : cut < 0.7 ? CornerCut::rounded
                 : cut < 0.9 ? CornerCut::clipped
                             : CornerCut::broken;
  const double rim = random.uniform();
  plan.rim = rim < 0.5    ? RimSides::four
             : rim < 0.65 ? RimSides::three
             : rim < 0.82 ? RimSides::two
                          : RimSides::none;
  plan.bare_corners = random.chance(0.6);
  plan.film_to_the_edge = random.chance(0.25);
  if (layout == Layout::black_rim_black_bed) plan.rim = RimSides::four;
  plan.dirty = random.chance(0.9);
  return plan;
}

Laying drawn_laying(Random& random, Layout layout) {
  Laying how;
  how.shadow = layout == Layout::photo ? random.uniform(0.1, 0.7) : random.uniform(0.0, 0.5);
  how.shadow_mm = random.log_uniform(0.2, 2.0);
  const double angle = random.uniform(0.0, 6.283);
  how.shadow_toward = {std::cos(angle), std::sin(angle)};
  how.bevel = random.chance(0.5) ? random.normal(0.0, 0.25) : 0.0;
  how.bevel_mm = random.log_uniform(0.1, 0.5);
  if (layout == Layout::black_bed) {
    how.bevel = random.uniform(0.15, 0.6);
    how.bevel_mm = random.uniform(0.3, 0.8);
  }
  if (layout == Layout::black_rim_black_bed || negative_layout(layout)) how.shadow = 0.0;
  if (layout == Layout::black_rim_black_bed) how.bevel = 0.0;
  if (layout == Layout::light_table)
    how.bevel = random.uniform(-0.8, -0.15);  // the cut refracts the light away
  return how;
}

cv::Mat flatbed_surround(Random& random, Layout layout, cv::Size size, double px_per_mm,
                         double support_density) {
  switch (layout) {
    case Layout::black_bed:
      return black_bed(random, size, px_per_mm);
    case Layout::masked:
      return black_bed(random, size, px_per_mm) * 0.2;
    case Layout::light_table:
      return light_table(random, size);
    case Layout::black_rim_black_bed: {
      // As black as the plate's own border.
      const cv::Mat bed = black_bed(random, size, px_per_mm);
      const double wanted = std::pow(10.0, -support_density) * random.uniform(0.95, 1.1);
      return bed * (wanted / std::max(cv::mean(bed)[1], 1e-4));
    }
    default:
      return random.chance(0.8) ? white_lid(random, size, px_per_mm) : paper(random, size, px_per_mm);
  }
}

// Margin of the scan around the plate: negative crops the plate.
std::array<double, 4> drawn_margins(Random& random, Layout layout) {
  std::array<double, 4> margin{};
  for (double& value : margin) value = random.log_uniform(2.0, 30.0);
  if (layout == Layout::frame_filling)
    for (double& value : margin) value = -random.log_uniform(0.3, 3.0);
  if (layout == Layout::overhanging) {
    const auto first = static_cast<std::size_t>(random.integer(0, 3));
    margin[first] = -random.uniform(0.5, 4.0);
    if (random.chance(0.5)) margin[(first + 1) % 4] = -random.uniform(0.5, 4.0);
  }
  if (layout == Layout::two_plates) margin[1] = random.uniform(60.0, 75.0);
  return margin;
}

double drawn_scan_px_per_mm(Random& random, double width_mm, double height_mm) {
  constexpr double kMostPixels = 2.2e6;
  constexpr double kDpi[] = {150, 200, 240, 300, 300, 400, 400};
  double dpi = kDpi[random.integer(0, 6)];
  while (width_mm * height_mm * std::pow(dpi / 25.4, 2.0) > kMostPixels && dpi > 150) dpi -= 50;
  return dpi / 25.4;
}

// Ordinary scans are dark: for half, whites land near 45 % of full scale in the file's own codes.
void darken_half(Random& random, Scanner& scanner, const Encoding& encoding, double highlight_density) {
  if (!random.chance(0.5)) return;
  const double code = random.uniform(0.38, 0.52);
  const bool linear = encoding.bits == 16 && !encoding.profile;
  const double light = linear ? code * 0.6 : std::pow((code + 0.055) / 1.055, 2.4);
  scanner.gain = std::min(scanner.gain, light / std::pow(10.0, -highlight_density * scanner.gamma));
}

Encoding drawn_encoding(Random& random, int index) {
  Encoding encoding;
  encoding.bits = index % 2 == 0 ? 16 : 8;
  encoding.grey = random.chance(0.45);
  encoding.profile = encoding.bits == 16 ? random.chance(0.5) : random.chance(0.3);
  encoding.jpeg = encoding.bits == 8 && random.chance(0.5);
  return encoding;
}

Composition add_second_plate(Random& random, const std::vector<std::filesystem::path>& photographs,
                             Point at_mm, const Camera& camera, Composition first) {
  PlatePlan plan = drawn_plan(random, Layout::two_plates);
  plan.width_mm = 44.0;
  plan.height_mm = 57.0;
  plan.process.kind = PlateKind::tintype;
  plan.process.support_density = std::max(plan.process.support_density, 1.2);
  const PlateDrawing plate = drawn_plate(random, plan, photographs);
  Camera beside = camera;
  Eigen::Matrix3d move = Eigen::Matrix3d::Identity();
  move(0, 2) = at_mm.x;
  move(1, 2) = at_mm.y;
  beside.px_from_mm.matrix = camera.px_from_mm.matrix * move;
  first.light = laid(plate, beside, first.light, drawn_laying(random, Layout::two_plates)).light;
  return first;
}

Rendering flatbed(Random& random, int index, Layout layout,
                  const std::vector<std::filesystem::path>& photographs) {
  PlatePlan plan = drawn_plan(random, layout);
  const std::array<double, 4> margin = drawn_margins(random, layout);
  const double width = plan.width_mm + margin[1] + margin[3];
  const double height = plan.height_mm + margin[0] + margin[2];
  const double px_per_mm = drawn_scan_px_per_mm(random, width, height);
  plan.px_per_mm = std::max(12.0, px_per_mm);
  Encoding encoding = drawn_encoding(random, index);
  plan.colour = !encoding.grey;
  const PlateDrawing plate = drawn_plate(random, plan, photographs);

  const cv::Size picture(static_cast<int>(width * px_per_mm), static_cast<int>(height * px_per_mm));
  const Point centre_mm{plan.width_mm / 2, plan.height_mm / 2};
  const double turn = layout == Layout::frame_filling ? random.normal(0.0, 0.2)
                      : layout == Layout::overhanging ? random.normal(0.0, 0.4)
                                                      : random.normal(0.0, 2.5);
  const Camera camera =
      scanner_view(px_per_mm, turn, centre_mm, px_per_mm * (Point{margin[3], margin[0]} + centre_mm),
                   1.0 + random.normal(0.0, 0.001));
  const cv::Mat bed = flatbed_surround(random, layout, picture, px_per_mm, plate.support_density);
  Composition composition = laid(plate, camera, bed, drawn_laying(random, layout));
  if (layout == Layout::two_plates)
    composition = add_second_plate(random, photographs,
                                   {plan.width_mm + random.uniform(6.0, 12.0), random.uniform(0.0, 5.0)},
                                   camera, composition);

  Rendering out;
  out.truth.px_per_mm = px_per_mm;
  measure_sides(plate, camera, picture, out.truth);
  measure_plate(plate, camera, composition, {}, out.truth);
  Scanner scanner = drawn_scanner(random, encoding.bits == 16);
  darken_half(random, scanner, encoding, out.truth.highlight);
  if (plan.process.kind == PlateKind::negative) {
    scanner.gain = std::max(scanner.gain, 0.5);
    scanner.veil *= 0.35;  // a film scanner's light does not bounce between plate and lid
  }
  out.file = scanned(random, scanner, encoding, composition.light, px_per_mm);
  const double says = random.uniform();
  out.file.dpi = says < 0.75 ? px_per_mm * 25.4 : (says < 0.9 ? 72.0 : 0.0);
  if (encoding.bits == 16) {
    out.device = measured_device(random, scanner, plan.process.kind == PlateKind::negative);
    out.device->resolution_dpi = out.file.dpi > 0.0 ? std::optional(out.file.dpi) : std::nullopt;
  }
  measure_contrast(plate, camera, out.file.pixels, out.truth);
  out.truth.kind = plan.process.kind;
  out.truth.width_mm = plan.width_mm;
  out.truth.height_mm = plan.height_mm;
  return out;
}

Rendering photo(Random& random, const std::vector<std::filesystem::path>& photographs) {
  PlatePlan plan = drawn_plan(random, Layout::photo);
  const PlateDrawing plate = drawn_plate(random, plan, photographs);
  const double size = random.uniform(1200, 1700);
  const bool upright = random.chance(0.6);
  const cv::Size picture(static_cast<int>(upright ? 0.75 * size : size),
                         static_cast<int>(upright ? size : 0.75 * size));
  const Camera camera =
      hand_held_view(random, picture, {plan.width_mm, plan.height_mm}, random.uniform(0.5, 0.85));

  // The table over everything the picture sees.
  const cv::Mat mm = seen_mm(camera, picture);
  std::vector<cv::Mat> axes;
  cv::split(mm, axes);
  double left = 0.0;
  double right = 0.0;
  double top = 0.0;
  double bottom = 0.0;
  cv::minMaxLoc(axes[0], &left, &right);
  cv::minMaxLoc(axes[1], &top, &bottom);
  const double table_px_per_mm = std::min(8.0, 2200.0 / std::max(right - left, bottom - top));
  const cv::Mat table = table_top(random,
                                  {static_cast<int>((right - left) * table_px_per_mm) + 2,
                                   static_cast<int>((bottom - top) * table_px_per_mm) + 2},
                                  table_px_per_mm);
  const cv::Mat surround = seen(table, {left, top}, table_px_per_mm, mm, cv::BORDER_REPLICATE);
  Composition composition = laid(plate, camera, surround, drawn_laying(random, Layout::photo));
  cv::Mat glare;
  if (random.chance(0.4)) {
    cv::Mat light = reflections(random, plate, camera, picture);
    light.setTo(0.0, composition.plate == 0);
    glare = light > 0.004;
    cv::Mat three;
    cv::cvtColor(light, three, cv::COLOR_GRAY2RGB);
    composition.light += three;
  }
  Rendering out;
  out.truth.photo = true;
  out.truth.px_per_mm = distance(camera.px({0, 0}), camera.px({plan.width_mm, 0})) / plan.width_mm;
  measure_sides(plate, camera, picture, out.truth);
  measure_plate(plate, camera, composition, glare, out.truth);
  out.file = photographed_by_phone(random, composition.light);
  out.file.camera = random.chance(0.6);
  out.file.dpi = 72.0;
  measure_contrast(plate, camera, out.file.pixels, out.truth);
  out.truth.kind = plan.process.kind;
  out.truth.width_mm = plan.width_mm;
  out.truth.height_mm = plan.height_mm;
  return out;
}

}  // namespace

Rendering rendering(std::uint64_t seed, int index, const std::vector<std::filesystem::path>& photographs) {
  Random random(seed * 1000003ULL + static_cast<std::uint64_t>(index) * 7919ULL);
  const Layout layout = kRound[index % kRoundLength];
  Rendering out =
      layout == Layout::photo ? photo(random, photographs) : flatbed(random, index, layout, photographs);
  out.truth.layout = layout;
  std::ostringstream story;
  story << index << ' ' << kLayoutNames[static_cast<int>(layout)] << ", " << name_of(out.truth.kind) << ", "
        << out.file.pixels.cols << 'x' << out.file.pixels.rows << ", "
        << (out.file.pixels.depth() == CV_16U ? 16 : 8) << " bit"
        << (out.file.pixels.channels() == 1 ? " grey" : "") << (out.file.jpeg ? " jpeg" : "");
  out.story = story.str();
  return out;
}

}  // namespace platewise::heldout
