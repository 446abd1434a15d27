#pragma once

#include <span>

namespace platewise {

// The logbook's tables as numbered steps: step i brings a file from version i to i + 1 (PRAGMA user_version).
// To add a column: append a step, never change one that was released; add the field to LogEntry and to the
// lists in logbook.cpp; add a file of the version before to tests/logbook.
[[nodiscard]] std::span<const char* const> schema_steps();

// PRAGMA application_id of a logbook: the letters "plwl".
inline constexpr int kLogbookApplicationId = 0x706c776c;

}  // namespace platewise
