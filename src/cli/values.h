#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/result.h"
#include "platewise/locate/locate_plate.h"

namespace platewise::cli {

// Values as a photographer writes them on a command line or in a list. Numbers have a decimal point whatever
// the system's language is. Each fails with a Problem naming `where` and showing what would be right.

[[nodiscard]] std::optional<double> number_in(std::string_view text);  // the whole text, spaces around it

// "10s", "10", "1/4s", "1.5 s", "2min": seconds, more than 0.
[[nodiscard]] Result<double> time_s(std::string_view text, const std::string& where);

// "f/4", "F4", "5.6": f-number, more than 0.
[[nodiscard]] Result<double> f_number(std::string_view text, const std::string& where);

// "12", "12.5EV", "-3".
[[nodiscard]] Result<double> exposure_value(std::string_view text, const std::string& where);

// "300/210mm", "300/210", "1.43": draw of the camera over the lens's focal length, 1 or more (a little less
// is let pass: draws are measured by hand).
[[nodiscard]] Result<double> bellows_ratio(std::string_view text, const std::string& where);

// "0.85": Schwarzschild's exponent, 0.5 to 1.
[[nodiscard]] Result<double> schwarzschild_p(std::string_view text, const std::string& where);

// A trade size ("whole", "quarter plate", "4x5in") or "165x216mm", "16.5x21.6cm", "6.5x8.5in".
[[nodiscard]] Result<PlateSizeMm> plate_size(std::string_view text, const std::string& where);

// "x,y,x,y,x,y,x,y" in pixels of the scan: a quadrilateral without crossing sides.
[[nodiscard]] Result<Quad> corners_px(std::string_view text, const std::string& where);

// `count` numbers parted by commas.
[[nodiscard]] Result<std::vector<double>> numbers(std::string_view text, std::size_t count,
                                                  const std::string& where, const std::string& example);

[[nodiscard]] std::vector<std::string> parts_between_commas(std::string_view text);

}  // namespace platewise::cli
