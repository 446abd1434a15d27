#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "platewise/core/result.h"

namespace platewise {

// What the logbook keeps of one plate. The score is the JSON text of the contract; the logbook does not look
// into it. Times are text in ISO 8601, given by the caller.
struct LogEntry {
  std::string series;
  std::string scan_sha256;  // tells a scan from another; lower-case hex
  std::string scan_path;
  std::string scored_at;
  std::optional<double> exposure_s;
  std::optional<double> development_s;
  std::optional<double> aperture;
  std::optional<double> meter_ev;
  std::optional<double> temperature_c;
  std::optional<double> bellows_ratio;
  std::optional<double> schwarzschild_p;
  std::string note;
  std::string done;  // what was then really done for the next plate
  std::string score_json;

  friend bool operator==(const LogEntry&, const LogEntry&) = default;
};

struct LoggedPlate {
  std::int64_t id = 0;  // rises with the order of plates
  LogEntry entry;
};

struct LoggedSeries {
  std::string name;
  std::int64_t plates = 0;
};

enum class LogbookUse { read, write };

// A photographer's log of plates: one SQLite file in write-ahead mode. A plate is there once `put` returned,
// also after a power cut or a kill; several programs may write at once, each waits for the other up to ten
// seconds. Files of older versions are brought up to date when opened for writing, and say so when only read.
// Every failure is a Problem that names the file: not a logbook, damaged, read-only, busy, of a newer
// version.
class Logbook {
 public:
  // `write` makes the file if there is none; its folder must exist. ":memory:" is a logbook that is gone
  // afterwards.
  [[nodiscard]] static Result<Logbook> open(const std::filesystem::path& file, LogbookUse use);

  // Adds a plate, or updates the one of the same series with the same scan: then what is given replaces, and
  // a setting, note or deed left empty keeps what was noted before. Returns its id.
  [[nodiscard]] Result<std::int64_t> put(const LogEntry& entry);

  // Puts all or, on the first failure, none.
  [[nodiscard]] Result<std::vector<std::int64_t>> put_all(const std::vector<LogEntry>& entries);

  // The same for entries that are whole, as in an exported list: an empty field stays empty.
  [[nodiscard]] Result<std::vector<std::int64_t>> put_whole(const std::vector<LogEntry>& entries);

  // Replaces everything of a plate; fails if there is no such id.
  [[nodiscard]] Result<void> replace(std::int64_t id, const LogEntry& entry);

  // Plates of a series in order, or of all series when empty.
  [[nodiscard]] Result<std::vector<LoggedPlate>> plates(const std::string& series = {}) const;
  [[nodiscard]] Result<LoggedPlate> plate(std::int64_t id) const;
  [[nodiscard]] Result<std::vector<LoggedSeries>> series() const;

  class Database;  // of src/logbook only
  Logbook(Logbook&&) noexcept;
  Logbook& operator=(Logbook&&) noexcept;
  ~Logbook();

 private:
  [[nodiscard]] Result<std::vector<std::int64_t>> put_by(const char* sql,
                                                         const std::vector<LogEntry>& entries);
  explicit Logbook(std::unique_ptr<Database> database);
  std::unique_ptr<Database> database_;
};

}  // namespace platewise
