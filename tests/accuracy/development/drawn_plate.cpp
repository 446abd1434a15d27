#include "accuracy/development/drawn_plate.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iostream>

#include "accuracy/development/kept_plate.h"
#include "accuracy/development/line_scenes.h"
#include "accuracy/development/photograph_scenes.h"
#include "accuracy/development/true_marks.h"
#include "accuracy/plate_colours.h"
#include "platewise/demo/render_plate.h"
#include "platewise/pipeline/score_plate.h"
#include "platewise/stats/random.h"

namespace platewise::development {
namespace {

constexpr double kBorderMm = 3.0;
constexpr std::array kKinds{PlateKind::tintype, PlateKind::ambrotype, PlateKind::negative};

enum class Burden { clean, clean_lines, faulty };

Burden burden_of(int index) {
  return index % 6 == 0 ? Burden::clean : index % 6 == 3 ? Burden::clean_lines : Burden::faulty;
}

// Of all faults to draw, those of silver and film, or those of colour.
std::vector<std::string> wanted(const DrawnPlan& plan, bool of_colour) {
  std::vector<std::string> ids = plan.only;
  if (ids.empty()) {
    ids = drawable_faults();
  }
  std::erase_if(ids, [&](const std::string& id) { return heldout::is_colour_fault(id) != of_colour; });
  return ids;
}

void choose_faults(PlateOptions& options, const DrawnPlan& plan, int index, Random& random) {
  options.faults.clear();
  options.specks = 0;
  if (options.film.edge == FilmEdge::bare_corners) options.film.edge = FilmEdge::wandering;
  if (burden_of(index) != Burden::faulty) return;
  const std::vector<std::string> ids = wanted(plan, false);
  if (ids.empty()) return;
  const int number = index - (index + 5) / 6 - (index + 2) / 6;  // of the faulty plates so far
  for (int i = 0; i < 2; ++i) {
    FaultOptions fault;
    fault.id = ids[static_cast<std::size_t>(2 * number + i + static_cast<int>(plan.seed)) % ids.size()];
    // A corner that was kept free, or a side that the pool never reached.
    if (fault.id == "uncovered_corner" && random.uniform(0, 1) < 0.6) {
      options.film.edge = FilmEdge::bare_corners;
      options.film.bare_corners = 1 + static_cast<int>(random.uniform(0, 2));
      continue;
    }
    fault.strength = std::pow(10.0, random.uniform(-0.8, 0.15));
    if (fault.id == "pinhole") fault.count = 60;
    if (fault.id == "dust_speck") fault.count = 30;
    if (fault.id == "comet") fault.count = 2;
    options.faults.push_back(fault);
  }
  if (random.uniform(0, 1) < 0.5) options.specks = 60;
}

// Colours have random numbers of their own, so that they change nothing else of a plate. Where colour faults
// alone are drawn, all plates are scanned in colour and half of the 8-bit files are JPEG; else a third of the
// faulty plates scanned in colour carries one.
void choose_colours(PlateOptions& options, const DrawnPlan& plan, int index) {
  Random random(plan.seed * 1000 + static_cast<std::uint64_t>(index) + 500029);
  const double strength = std::pow(10.0, random.uniform(-0.8, 0.15));
  const bool third = random.uniform(0, 1) < 1.0 / 3.0;
  const double support = random.uniform(0, 1);
  options.support_warmth = support < 0.25 ? -1.0 : support < 0.5 ? 1.2 : 0.35;
  if (options.process.kind == PlateKind::ambrotype && support > 0.75) options.ruby_glass = true;
  options.hand_tinted = is_positive(options.process.kind) && random.uniform(0, 1) < 0.4;
  options.device.off_register_px = random.uniform(0, 1) < 0.5 ? 0.4 : 0.0;
  std::vector<std::string> ids = wanted(plan, true);
  // The blue sheen is seen by light that falls on the silver, not by light that goes through.
  if (!is_positive(options.process.kind)) std::erase(ids, "solarised_blue");
  const bool alone = !plan.only.empty() && !ids.empty();
  if (alone && !options.device.colour) {
    options.device.colour = true;
    options.device.curve = ToneCurve::srgb;
  }
  if (alone) options.jpeg = options.device.bits == 8 && random.uniform(0, 1) < 0.5;
  if (burden_of(index) != Burden::faulty || ids.empty() || !options.device.colour || !(alone || third))
    return;
  const int number = index - (index + 5) / 6 - (index + 2) / 6;
  options.faults.push_back({ids[static_cast<std::size_t>(number) % ids.size()], 1, strength});
}

// Fog, sea and sky, a plain backdrop: hardly an edge in the whole picture. Clean plates and faulty ones.
bool edgeless(int index) {
  return index % 9 == 4 || index % 9 == 6;
}

PlateOptions options_of(const DrawnPlan& plan, int index) {
  const auto seed = plan.seed * 1000 + static_cast<std::uint64_t>(index);
  const PlateKind kind = plan.kind.value_or(kKinds[static_cast<std::size_t>(index / 2) % kKinds.size()]);
  PlateOptions options = varied_plate(seed, kind,
                                      plan.photo       ? Medium::phone_photo
                                      : index % 4 == 1 ? Medium::white_lid
                                                       : Medium::black_bed);
  Random random(seed + 17);
  const bool large = index % 5 == 4;
  options.width_mm = large ? 82.5 : 63.5;
  options.height_mm = large ? 107.9 : 76.2;
  options.px_per_mm = 12.0;
  options.exposure_error_stops *= 0.5;
  choose_faults(options, plan, index, random);
  choose_colours(options, plan, index);
  options.scene = static_cast<SceneKind>((index * 3 + static_cast<int>(plan.seed)) % kSceneKindCount);
  if (!plan.photographs.empty() && index % 3 != 2) {
    const auto which = (static_cast<std::size_t>(index) + 7 * plan.seed) % plan.photographs.size();
    LinearImage scene = photograph_scene(plan.photographs[which], static_cast<int>(options.height_mm * 24));
    if (!scene.luminance.empty()) options.photograph = std::move(scene);
  }
  if (edgeless(index)) {
    options.photograph = edgeless_scene(seed, static_cast<int>(options.width_mm * 16),
                                        static_cast<int>(options.height_mm * 16));
  }
  if (burden_of(index) == Burden::clean_lines) {
    const auto& names = line_scene_names();
    options.photograph =
        line_scene(names[static_cast<std::size_t>(index / 6) % names.size()], seed,
                   static_cast<int>(options.width_mm * 16), static_cast<int>(options.height_mm * 16));
  }
  return options;
}

std::string story_of(const PlateOptions& options, const PlateRendering& rendering, int index) {
  std::string story = fmt::format("{:03} {} {}", index, name_of(options.process.kind), rendering.truth.scene);
  for (const FaultOptions& fault : options.faults)
    story += fmt::format(" {} x{:.2f}", fault.id, fault.strength);
  if (options.specks > 0) story += " specks";
  if (options.device.colour)
    story += fmt::format(", colour {} bit{}{}{}", options.device.bits, options.jpeg ? " jpeg" : "",
                         options.ruby_glass ? " ruby" : "", options.hand_tinted ? " tinted" : "");
  return story;
}

// A rim fogged by bath, developer or dark room is a mark of the whole plate, on clean plates too: from 0.15 D
// it counts as one, from 0.05 D a finding of it counts neither way.
void add_veil(heldout::FaultRendering& truth, const PlateTruth& drawn) {
  constexpr double kVeil = 0.15;
  if (!drawn.margin_fog || *drawn.margin_fog < kVeil / 3.0) return;
  heldout::TrueMark mark{
      "veil", {{{0, 0}, {truth.width_mm, 0}, {truth.width_mm, truth.height_mm}, {0, truth.height_mm}}}};
  mark.length_mm = std::max(truth.width_mm, truth.height_mm);
  mark.width_mm = std::min(truth.width_mm, truth.height_mm);
  mark.contrast = *drawn.margin_fog;
  mark.cnr = 3.0 * *drawn.margin_fog / kVeil;
  truth.marks.push_back(std::move(mark));
}

// Plates of other scenes have other names.
std::string kept_name(const DrawnPlan& plan, int index) {
  const std::string scenes =
      plan.photographs.empty() ? "" : plan.photographs.front().parent_path().filename().string() + "-";
  return fmt::format("{}{}{}-{:03}.plate", plan.photo ? "photo-" : "", scenes, plan.seed, index);
}

}  // namespace

std::optional<DrawnPlate> drawn_plate(const DrawnPlan& plan, int index) {
  const std::filesystem::path kept =
      plan.kept_folder.empty() ? plan.kept_folder : plan.kept_folder / kept_name(plan, index);
  if (!kept.empty())
    if (auto plate = kept_plate(kept)) return plate;
  const PlateOptions options = options_of(plan, index);
  const PlateRendering rendering = render_plate(options);
  const auto file = std::filesystem::temp_directory_path() /
                    fmt::format("platewise-development-{}-{}.{}", ::getpid(), index,
                                rendering.format.container == PictureContainer::jpeg ? "jpg" : "tif");
  if (!write_picture(file, rendering.pixels, rendering.format)) return std::nullopt;
  ScoreOptions score_options;
  score_options.kind = options.process.kind;
  score_options.locate.corners_px = rendering.truth.corners_px;
  score_options.locate.plate_size = PlateSizeMm{options.width_mm, options.height_mm, std::nullopt};
  score_options.look_for_faults = false;
  Result<PlateScore> score = score_plate(file, score_options);
  std::filesystem::remove(file);
  if (!score || !score->density) {
    std::cerr << story_of(options, rendering, index) << ": not measured\n";
    return std::nullopt;
  }
  DrawnPlate plate;
  plate.density = std::move(*score->density);
  plate.regions = std::move(*score->regions);
  plate.truth.kind = options.process.kind;
  plate.truth.width_mm = options.width_mm;
  plate.truth.height_mm = options.height_mm;
  plate.truth.border_mm = kBorderMm;
  const bool bare_corners = options.film.edge == FilmEdge::bare_corners;
  plate.truth.marks = true_marks(rendering, plate.density.image.density, bare_corners);
  add_veil(plate.truth, rendering.truth);
  plate.truth.never_coated = never_coated(rendering, kBorderMm, bare_corners);
  plate.truth.subject =
      burden_of(index) == Burden::clean_lines
          ? line_scene_names()[static_cast<std::size_t>(index / 6) % line_scene_names().size()]
      : edgeless(index) ? "edgeless"
                        : rendering.truth.scene;
  plate.truth.clean = burden_of(index) != Burden::faulty;
  plate.truth.line_rich = burden_of(index) == Burden::clean_lines;
  plate.truth.story = story_of(options, rendering, index);
  if (!kept.empty()) keep_plate(plate, kept);
  return plate;
}

}  // namespace platewise::development
