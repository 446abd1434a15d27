#include "series_log.h"

#include <fmt/format.h>

#include <chrono>
#include <ctime>

#include "platewise/json/score_json.h"
#include "platewise/pipeline/score_plate.h"
#include "platewise/recommend/longest_exposure.h"
#include "platewise/tones/as_varnished.h"

namespace platewise::cli {
namespace {

// Plates longer ago say little about today's light and chemistry, and each one more makes the sum slower.
constexpr std::size_t kEarlierAtMost = 6;

std::string now_utc() {
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  std::tm utc{};
  gmtime_r(&now, &utc);
  char text[] = "2026-01-01T00:00:00Z";
  if (std::strftime(text, sizeof(text), "%Y-%m-%dT%H:%M:%SZ", &utc) == 0) return {};
  return text;
}

void fill(std::optional<double>& setting, const std::optional<double>& noted) {
  if (!setting) setting = noted;
}

void fill_from(PlateScore& score, const LogEntry& noted) {
  fill(score.settings.exposure_s, noted.exposure_s);
  fill(score.settings.development_s, noted.development_s);
  fill(score.settings.aperture, noted.aperture);
  fill(score.settings.meter_ev, noted.meter_ev);
  fill(score.settings.temperature_c, noted.temperature_c);
  fill(score.settings.bellows_ratio, noted.bellows_ratio);
  fill(score.settings.schwarzschild_p, noted.schwarzschild_p);
  if (score.note.empty()) score.note = noted.note;
}

// Those of the same kind with tones, the last few, oldest first. One that cannot be read is passed over.
std::vector<EarlierPlate> earlier_of(const std::vector<LoggedPlate>& plates, PlateKind kind) {
  std::vector<EarlierPlate> earlier;
  for (auto plate = plates.rbegin(); plate != plates.rend() && earlier.size() < kEarlierAtMost; ++plate) {
    const Result<PlateScore> score = score_of(*plate, "");
    if (!score || !score->tones || score->kind != kind) continue;
    earlier.insert(earlier.begin(),
                   {as_varnished(*score->tones, kind, score->state), score->settings, score->note});
  }
  return earlier;
}

LogEntry entry_of(const PlateScore& score, const std::string& series) {
  LogEntry entry{.series = series,
                 .scan_sha256 = score.scan.sha256,
                 .scan_path = std::filesystem::absolute(score.scan.path).lexically_normal().string(),
                 .scored_at = now_utc(),
                 .note = score.note,
                 .score_json = score_json(score)};
  set_noted(entry, score.settings);
  return entry;
}

}  // namespace

void set_noted(LogEntry& entry, const PlateSettings& settings) {
  entry.exposure_s = settings.exposure_s;
  entry.development_s = settings.development_s;
  entry.aperture = settings.aperture;
  entry.meter_ev = settings.meter_ev;
  entry.temperature_c = settings.temperature_c;
  entry.bellows_ratio = settings.bellows_ratio;
  entry.schwarzschild_p = settings.schwarzschild_p;
}

Result<PlateScore> score_of(const LoggedPlate& plate, const std::string& logbook) {
  Result<PlateScore> score =
      score_from_json(plate.entry.score_json, fmt::format("{}, plate {}", logbook, plate.id));
  if (!score) return score;
  const LogEntry& entry = plate.entry;
  score->settings = {.exposure_s = entry.exposure_s,
                     .development_s = entry.development_s,
                     .aperture = entry.aperture,
                     .meter_ev = entry.meter_ev,
                     .temperature_c = entry.temperature_c,
                     .bellows_ratio = entry.bellows_ratio,
                     .schwarzschild_p = entry.schwarzschild_p};
  score->note = entry.note;
  return score;
}

tl::expected<std::optional<SeriesLog>, Refusal> SeriesLog::open(const SharedOptions& options) {
  if (options.log.empty() && options.series.empty()) return std::optional<SeriesLog>();
  if (options.log.empty()) {
    return tl::make_unexpected(
        Refusal{ExitCode::wrong_usage,
                {"--series", "names a series of a logbook, and no logbook is given", "say --log FILE too"}});
  }
  if (options.series.empty()) {
    return tl::make_unexpected(Refusal{
        ExitCode::wrong_usage,
        {"--log", "needs the name of the series that these plates belong to", "say --series NAME too"}});
  }
  Result<Logbook> logbook = Logbook::open(options.log, LogbookUse::write);
  if (!logbook) return tl::make_unexpected(Refusal{ExitCode::input_unusable, logbook.error()});
  return std::optional(SeriesLog(*std::move(logbook), options.log, options.series));
}

SeriesLog::SeriesLog(Logbook logbook, std::string file, std::string series)
    : logbook_(std::move(logbook)), file_(std::move(file)), series_(std::move(series)) {}

Result<std::int64_t> SeriesLog::join(PlateScore& score, const std::optional<double>& longest_s) {
  Result<std::vector<LoggedPlate>> before = plates();
  if (!before) return tl::make_unexpected(before.error());
  for (std::size_t i = 0; i < before->size(); ++i) {
    if ((*before)[i].entry.scan_sha256 != score.scan.sha256) continue;
    fill_from(score, (*before)[i].entry);
    before->resize(i);
  }
  judge_in_series(score, earlier_of(*before, score.kind));
  if (longest_s && score.recommendation) {
    offer_longest_exposure(*score.recommendation, score.settings, *longest_s);
  }
  return logbook_.put(entry_of(score, series_));
}

std::string SeriesLog::line(std::int64_t number) const {
  return fmt::format("Noted as plate {} of the series {} in {}.\n", number, series_, file_);
}

}  // namespace platewise::cli
