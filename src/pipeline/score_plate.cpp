#include "platewise/pipeline/score_plate.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "platewise/align/align.h"
#include "platewise/faults/find_faults.h"
#include "platewise/raster/sampling.h"
#include "platewise/recommend/cautions_to_show.h"
#include "platewise/regions/find_regions.h"
#include "platewise/regions/several_frames.h"
#include "platewise/tones/as_varnished.h"
#include "platewise/tones/measure_tones.h"

namespace platewise {
namespace {

constexpr int kScanPictureLongSidePx = 900;

void add_each_once(Warnings& all, const Warnings& more) {
  for (const std::string& warning : more) {
    if (std::find(all.begin(), all.end(), warning) == all.end()) all.push_back(warning);
  }
}

Light light_of(const ScoreOptions& options) {
  if (options.light) return *options.light;
  return options.kind == PlateKind::negative ? Light::transmitted : Light::reflected;
}

ReadOptions read_options(const ScoreOptions& options) {
  ReadOptions read = options.read;
  if (const auto& size = options.locate.plate_size; size && !read.plate_long_side_mm) {
    read.plate_long_side_mm = std::max(size->width, size->height);
  }
  return read;
}

Result<DensityOptions> density_options(const ScoreOptions& options) {
  DensityOptions density{.kind = options.kind,
                         .light = light_of(options),
                         .backing = options.backing,
                         .device = options.device,
                         .px_per_mm = options.read.working_px_per_mm};
  if (options.flat) {
    ReadOptions flat_read = options.read;
    flat_read.progress = {};
    Result<Scan> flat = read_scan(*options.flat, flat_read);
    if (!flat) return tl::make_unexpected(flat.error());
    density.flat = std::move(*flat);
  }
  return density;
}

// What the tones leave out: every found fault inside the film, but the veil that lies over all of it and the
// blue lights, which are the picture's own highlights.
Mask mask_of(const Faults& faults, const DensityImage& plate) {
  std::vector<Polygon> outlines;
  for (const Fault& fault : faults.found)
    if (fault.id != "veil" && fault.id != "solarised_blue") outlines.push_back(fault.outline_units);
  return filled(outlines, plate);
}

// The reference plate laid on this one. Empty with a warning where it is no plate or shows another scene.
Result<std::optional<SameScene>> same_scene(PlateScore& score, const ScoreOptions& options) {
  if (!options.reference) return std::nullopt;
  ReadOptions read = read_options(options);
  read.progress = {};
  const Result<Scan> scan = read_scan(*options.reference, read);
  if (!scan) return tl::make_unexpected(scan.error());
  LocateOptions locate = options.locate;
  locate.corners_px.reset();  // they are this scan's
  const PlateOutline outline = locate_plate(*scan, locate);
  const std::string name = options.reference->string();
  if (!outline.found) {
    score.warnings.push_back(name +
                             ": no plate was found in the reference scan, so it could not be compared.");
    return std::nullopt;
  }
  Result<PlateDensity> density = to_density(*scan, outline,
                                            {.kind = score.kind,
                                             .light = score.light,
                                             .backing = options.backing,
                                             .px_per_mm = read.working_px_per_mm});
  if (!density) return tl::make_unexpected(density.error());
  const auto alignment = aligned(score.density->image, score.regions->picture, density->image, {});
  if (!alignment) {
    score.warnings.push_back(name +
                             ": the reference scan does not show the same scene, or too little of it is "
                             "alike: it was not used.");
    return std::nullopt;
  }
  return SameScene{std::move(density->image), alignment->second_from_first};
}

// Density, regions and tones of a plate that was found.
Result<void> measure(PlateScore& score, const ScoreOptions& options) {
  const Result<DensityOptions> density = density_options(options);
  if (!density) return tl::make_unexpected(density.error());
  Result<PlateDensity> raw = to_density(score.scan, score.outline, *density);
  if (!raw) return tl::make_unexpected(raw.error());
  score.regions = find_regions(raw->image, {.kind = score.kind,
                                            .whole_frame = score.outline.source == OutlineSource::frame,
                                            .photo = score.outline.photo});
  if (const int frames = frames_on(raw->image); frames > 1) {
    score.warnings.push_back(fmt::format(
        "The plate seems to hold {} pictures of one size: tones, faults and advice are for all of them "
        "together. Crop the scan to one of them, or give its corners with --corners.",
        frames));
  }
  score.density = anchored(std::move(*raw), score.scan, score.outline, *score.regions, *density);
  score.scan.image = {};  // the largest thing in memory, and all that follows looks at the density
  if (options.look_for_faults) {
    const Result<std::optional<SameScene>> other = same_scene(score, options);
    if (!other) return tl::make_unexpected(other.error());
    score.faults =
        find_faults(*score.density, *score.regions,
                    {.kind = score.kind,
                     .millimetres = score.outline.scale.millimetres,
                     .handling = options.handling,
                     .subject_units = score.outline.scale.millimetres ? options.subject_mm : std::nullopt,
                     .same_scene = *other});
  }
  if (options.subject_mm && !score.outline.scale.millimetres)
    score.warnings.push_back(
        "--subject is in millimetres and the plate's size is not known: give --plate-size.");
  score.tones =
      measure_tones(*score.density, *score.regions,
                    {.kind = score.kind,
                     .default_support = default_support_density(score.kind, score.light, options.backing),
                     .faults = mask_of(score.faults, score.density->image)});
  return {};
}

bool has_likely(const Faults& faults, std::string_view id) {
  constexpr double kLikelyEnough = 0.5;
  return std::any_of(faults.found.begin(), faults.found.end(), [id](const Fault& fault) {
    return fault.id == id && fault.confidence >= kLikelyEnough;
  });
}

}  // namespace

Result<PlateScore> score_plate(const std::filesystem::path& path, const ScoreOptions& options) {
  Result<Scan> scan = read_scan(path, read_options(options));
  if (!scan) return tl::make_unexpected(scan.error());
  return score_plate(std::move(*scan), options);
}

Result<PlateScore> score_plate(Scan scan, const ScoreOptions& options) {
  PlateScore score{.scan = std::move(scan),
                   .kind = options.kind,
                   .light = light_of(options),
                   .state = options.state,
                   .settings = options.settings,
                   .curves = options.curves,
                   .note = options.note};
  score.outline = locate_plate(score.scan, options.locate);
  score.scan_picture = display_picture(score.scan.image.luminance, kScanPictureLongSidePx);
  add_each_once(score.warnings, score.scan.warnings);
  add_each_once(score.warnings, score.outline.warnings);
  if (score.outline.found) {
    if (const Result<void> measured = measure(score, options); !measured) {
      return tl::make_unexpected(measured.error());
    }
    judge_in_series(score, {});
    if (const auto remark = varnish_remark(score.kind, score.state)) score.warnings.push_back(*remark);
    add_each_once(score.warnings, score.density->warnings);
    add_each_once(score.warnings, score.regions->warnings);
    add_each_once(score.warnings, score.tones->warnings);
    add_each_once(score.warnings, score.faults.warnings);
  }
  score.scan.image = {};
  return score;
}

void judge_in_series(PlateScore& score, const std::vector<EarlierPlate>& earlier) {
  if (!score.tones || !score.regions) return;
  score.recommendation = recommend(as_varnished(*score.tones, score.kind, score.state),
                                   {.kind = score.kind,
                                    .settings = score.settings,
                                    .note = score.note,
                                    .curves = score.curves,
                                    .light_leak = has_likely(score.faults, "light_leak"),
                                    .blue_lights = has_likely(score.faults, "solarised_blue"),
                                    .earlier = earlier});
  score.grade = grade(*score.tones, score.faults, score.regions->covered_fraction, score.recommendation);
  score.cautions = cautions_to_show(score.recommendation, score.faults, score.settings);
}

}  // namespace platewise
