#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/logbook/logbook.h"

namespace platewise {

// A logbook as a list for a spreadsheet, and back without loss: CSV (RFC 4180, UTF-8 with a byte order mark)
// with one row a plate: number, series, scan_path, scored_at, exposure_s, development_s, aperture, meter_ev,
// temperature_c, bellows_ratio, schwarzschild_p, note, done, scan_sha256, score_json, score_json_2 ...
// Numbers carry every digit. A score too long for a spreadsheet's cell (32767 characters) is parted over
// several columns. Text that a spreadsheet would take for a formula gets an apostrophe in front, taken off
// again when read.
[[nodiscard]] std::string log_csv(std::span<const LoggedPlate> plates);

// The rows in their order. `number` is not read: a row belongs to the plate of its series and scan. Columns
// may stand in any order; series and scan_sha256 must be there. Fails with a Problem naming `where` and the
// row.
[[nodiscard]] Result<std::vector<LogEntry>> log_entries_from_csv(std::string_view text,
                                                                 const std::string& where);

}  // namespace platewise
