#include "schema.h"

namespace platewise {
namespace {

constexpr const char* kSteps[] = {
    "CREATE TABLE plates ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  series TEXT NOT NULL, scan_sha256 TEXT NOT NULL, scan_path TEXT NOT NULL, scored_at TEXT NOT NULL,"
    "  exposure_s REAL, development_s REAL, aperture REAL, meter_ev REAL,"
    "  note TEXT NOT NULL, score_json TEXT NOT NULL,"
    "  UNIQUE (series, scan_sha256));"
    "PRAGMA application_id = 1886156652;",

    "ALTER TABLE plates ADD COLUMN temperature_c REAL;"
    "ALTER TABLE plates ADD COLUMN done TEXT NOT NULL DEFAULT '';",

    "ALTER TABLE plates ADD COLUMN bellows_ratio REAL;"
    "ALTER TABLE plates ADD COLUMN schwarzschild_p REAL;",
};

}  // namespace

std::span<const char* const> schema_steps() {
  return kSteps;
}

}  // namespace platewise
