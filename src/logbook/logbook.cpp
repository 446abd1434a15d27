#include "platewise/logbook/logbook.h"

#include <fmt/format.h>

#include "database.h"

namespace platewise {
namespace {

constexpr const char* kPut =
    "INSERT INTO plates (series, scan_sha256, scan_path, scored_at, exposure_s, development_s, aperture, "
    "  meter_ev, temperature_c, note, done, score_json, bellows_ratio, schwarzschild_p) "
    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14) "
    "ON CONFLICT (series, scan_sha256) DO UPDATE SET "
    "  scan_path = excluded.scan_path, scored_at = excluded.scored_at, "
    "  exposure_s = coalesce(excluded.exposure_s, exposure_s), "
    "  development_s = coalesce(excluded.development_s, development_s), "
    "  aperture = coalesce(excluded.aperture, aperture), "
    "  meter_ev = coalesce(excluded.meter_ev, meter_ev), "
    "  temperature_c = coalesce(excluded.temperature_c, temperature_c), "
    "  note = CASE excluded.note WHEN '' THEN note ELSE excluded.note END, "
    "  done = CASE excluded.done WHEN '' THEN done ELSE excluded.done END, "
    "  bellows_ratio = coalesce(excluded.bellows_ratio, bellows_ratio), "
    "  schwarzschild_p = coalesce(excluded.schwarzschild_p, schwarzschild_p), "
    "  score_json = excluded.score_json "
    "RETURNING id";

constexpr const char* kPutWhole =
    "INSERT INTO plates (series, scan_sha256, scan_path, scored_at, exposure_s, development_s, aperture, "
    "  meter_ev, temperature_c, note, done, score_json, bellows_ratio, schwarzschild_p) "
    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14) "
    "ON CONFLICT (series, scan_sha256) DO UPDATE SET "
    "  scan_path = excluded.scan_path, scored_at = excluded.scored_at, exposure_s = excluded.exposure_s, "
    "  development_s = excluded.development_s, aperture = excluded.aperture, meter_ev = excluded.meter_ev, "
    "  temperature_c = excluded.temperature_c, note = excluded.note, done = excluded.done, "
    "  score_json = excluded.score_json, bellows_ratio = excluded.bellows_ratio, "
    "  schwarzschild_p = excluded.schwarzschild_p "
    "RETURNING id";

constexpr const char* kReplace =
    "UPDATE plates SET series = ?1, scan_sha256 = ?2, scan_path = ?3, scored_at = ?4, exposure_s = ?5, "
    "  development_s = ?6, aperture = ?7, meter_ev = ?8, temperature_c = ?9, note = ?10, done = ?11, "
    "  score_json = ?12, bellows_ratio = ?13, schwarzschild_p = ?14 WHERE id = ?15";

constexpr const char* kSelectSeries =
    "SELECT id, series, scan_sha256, scan_path, scored_at, exposure_s, development_s, aperture, meter_ev, "
    "  temperature_c, note, done, score_json, bellows_ratio, schwarzschild_p FROM plates WHERE ?1 = '' OR "
    "series = ?1 ORDER BY id";
constexpr const char* kSelectPlate =
    "SELECT id, series, scan_sha256, scan_path, scored_at, exposure_s, development_s, aperture, meter_ev, "
    "  temperature_c, note, done, score_json, bellows_ratio, schwarzschild_p FROM plates WHERE id = ?1";

// In the order of the lists above.
void bind(Statement& statement, const LogEntry& entry) {
  statement.bind(entry.series)
      .bind(entry.scan_sha256)
      .bind(entry.scan_path)
      .bind(entry.scored_at)
      .bind(entry.exposure_s)
      .bind(entry.development_s)
      .bind(entry.aperture)
      .bind(entry.meter_ev)
      .bind(entry.temperature_c)
      .bind(entry.note)
      .bind(entry.done)
      .bind(entry.score_json)
      .bind(entry.bellows_ratio)
      .bind(entry.schwarzschild_p);
}

LoggedPlate plate_of(const Statement& row) {
  return {.id = row.whole(0),
          .entry = {.series = row.text(1),
                    .scan_sha256 = row.text(2),
                    .scan_path = row.text(3),
                    .scored_at = row.text(4),
                    .exposure_s = row.number(5),
                    .development_s = row.number(6),
                    .aperture = row.number(7),
                    .meter_ev = row.number(8),
                    .temperature_c = row.number(9),
                    .bellows_ratio = row.number(13),
                    .schwarzschild_p = row.number(14),
                    .note = row.text(10),
                    .done = row.text(11),
                    .score_json = row.text(12)}};
}

}  // namespace

Logbook::Logbook(std::unique_ptr<Database> database) : database_(std::move(database)) {}
Logbook::Logbook(Logbook&&) noexcept = default;
Logbook& Logbook::operator=(Logbook&&) noexcept = default;
Logbook::~Logbook() = default;

Result<Logbook> Logbook::open(const std::filesystem::path& file, LogbookUse use) {
  Result<std::unique_ptr<Database>> database = Database::open(file, use);
  if (!database) return tl::make_unexpected(database.error());
  return Logbook(std::move(*database));
}

Result<std::int64_t> Logbook::put(const LogEntry& entry) {
  const Result<std::vector<std::int64_t>> ids = put_all({entry});
  if (!ids) return tl::make_unexpected(ids.error());
  return ids->front();
}

Result<std::vector<std::int64_t>> Logbook::put_all(const std::vector<LogEntry>& entries) {
  return put_by(kPut, entries);
}

Result<std::vector<std::int64_t>> Logbook::put_whole(const std::vector<LogEntry>& entries) {
  return put_by(kPutWhole, entries);
}

Result<std::vector<std::int64_t>> Logbook::put_by(const char* sql, const std::vector<LogEntry>& entries) {
  WriteTransaction transaction(*database_);
  if (!transaction.begun()) return tl::make_unexpected(transaction.begun().error());
  std::vector<std::int64_t> ids;
  for (const LogEntry& entry : entries) {
    Statement statement = database_->prepare(sql);
    bind(statement, entry);
    if (const int code = statement.step(); code != SQLITE_ROW) return database_->problem(code);
    ids.push_back(statement.whole(0));
    if (const int code = statement.step(); code != SQLITE_DONE) return database_->problem(code);
  }
  if (const Result<void> done = transaction.commit(); !done) return tl::make_unexpected(done.error());
  return ids;
}

Result<void> Logbook::replace(std::int64_t id, const LogEntry& entry) {
  Statement statement = database_->prepare(kReplace);
  bind(statement, entry);
  statement.bind(id);
  if (const int code = statement.step(); code != SQLITE_DONE) return database_->problem(code);
  if (database_->changes() == 0) return failure(database_->name(), fmt::format("has no plate {}", id));
  return {};
}

Result<std::vector<LoggedPlate>> Logbook::plates(const std::string& series) const {
  Statement statement = database_->prepare(kSelectSeries);
  statement.bind(series);
  std::vector<LoggedPlate> found;
  int code = statement.step();
  for (; code == SQLITE_ROW; code = statement.step()) found.push_back(plate_of(statement));
  if (code != SQLITE_DONE) return database_->problem(code);
  return found;
}

Result<LoggedPlate> Logbook::plate(std::int64_t id) const {
  Statement statement = database_->prepare(kSelectPlate);
  statement.bind(id);
  const int code = statement.step();
  if (code == SQLITE_ROW) return plate_of(statement);
  if (code != SQLITE_DONE) return database_->problem(code);
  return failure(database_->name(), fmt::format("has no plate {}", id),
                 "platewise log list shows the numbers");
}

Result<std::vector<LoggedSeries>> Logbook::series() const {
  Statement statement =
      database_->prepare("SELECT series, count(*) FROM plates GROUP BY series ORDER BY min(id)");
  std::vector<LoggedSeries> found;
  int code = statement.step();
  for (; code == SQLITE_ROW; code = statement.step())
    found.push_back({statement.text(0), statement.whole(1)});
  if (code != SQLITE_DONE) return database_->problem(code);
  return found;
}

}  // namespace platewise
