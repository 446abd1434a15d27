#pragma once

#include <filesystem>

#include "platewise/core/result.h"

namespace platewise {

// Prints a report page to PDF through an installed Chromium (found on PATH, or named by the environment
// variable PLATEWISE_BROWSER). Whole or not at all. Fails with a Problem that says how to get the browser
// when there is none, and when it does not finish within `timeout_s`.
[[nodiscard]] Result<void> print_pdf(const std::filesystem::path& page, const std::filesystem::path& pdf,
                                     double timeout_s = 120.0);

}  // namespace platewise
