#include "asked.h"

#include <fmt/format.h>

#include "platewise/cli/run.h"
#include "platewise/read/sha256.h"

namespace platewise::cli {
namespace {

std::string noted(std::optional<double> value) {
  return value ? fmt::format("{:.12g}", *value) : "-";
}

std::string asked_of_all(const SharedOptions& options) {
  std::string text = std::string(kVersion);
  for (const std::string* word :
       {&options.corners, &options.rotate, &options.side, &options.light, &options.backing, &options.state,
        &options.subject, &options.drain_corner, &options.dip_edge, &options.log, &options.series,
        &options.longest_exposure, &options.sixteen_bit}) {
    text += "\n" + *word;
  }
  text += fmt::format("\n{} {}", options.megapixels_max, options.inverted);
  for (const std::string* file : {&options.device, &options.flat, &options.reference}) {
    text += "\n" + (file->empty() ? "" : sha256_of_file(*file));
  }
  for (const std::string& file : options.curves) text += "\n" + sha256_of_file(file);
  return text;
}

std::string asked_of_one(const ScoreOptions& options) {
  const PlateSettings& settings = options.settings;
  std::string text =
      fmt::format("\n{} {} {} {} {} {} {} {}\n{}", name_of(options.kind), noted(settings.exposure_s),
                  noted(settings.development_s), noted(settings.aperture), noted(settings.meter_ev),
                  noted(settings.temperature_c), noted(settings.bellows_ratio),
                  noted(settings.schwarzschild_p), options.note);
  if (const auto& size = options.locate.plate_size)
    text += fmt::format("\n{:.6g} {:.6g}", size->width, size->height);
  return text;
}

}  // namespace

void set_asked(const SharedOptions& options, std::vector<PlateRequest>& requests) {
  const std::string all = asked_of_all(options);
  for (PlateRequest& request : requests) {
    request.asked_sha256 = sha256_of_bytes(all + asked_of_one(request.options));
  }
}

}  // namespace platewise::cli
