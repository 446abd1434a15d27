#include "platewise/calibrate/wedge.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <iterator>

#include "platewise/core/csv.h"

namespace platewise {
namespace {

constexpr std::size_t kStepsMin = 5;
constexpr std::size_t kStepsMax = 200;
constexpr double kDensityMin = -0.05;  // a patch may be a little whiter than the reference white
constexpr double kDensityMax = 6.0;    // no scanner sees through more
constexpr const char* kFormat = "write `step,density` or `step,density,blue_density`, one row a step";

std::string in_row(const std::string& where, std::size_t row) {
  return fmt::format("{}, step row {}", where, row + 1);
}

std::optional<double> number(std::string_view cell) {
  while (!cell.empty() && cell.front() == ' ') cell.remove_prefix(1);
  while (!cell.empty() && cell.back() == ' ') cell.remove_suffix(1);
  double value = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (error != std::errc() || end != cell.data() + cell.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::optional<Problem> unknown_columns(const Csv& table, const std::string& where) {
  for (const std::string& column : table.header) {
    if (column != "step" && column != "density" && column != "blue_density") {
      return Problem{where, fmt::format("has an unknown column '{}'", column), kFormat};
    }
  }
  for (const char* column : {"step", "density"}) {
    if (!table.has(column)) return Problem{where, fmt::format("has no column '{}'", column), kFormat};
  }
  return std::nullopt;
}

Result<double> density_cell(const Csv& table, std::size_t row, std::string_view column,
                            const std::string& where) {
  const auto value = number(table.cell(row, column));
  if (!value) {
    return failure(in_row(where, row), fmt::format("{} '{}' is no number", column, table.cell(row, column)),
                   kFormat);
  }
  if (*value < kDensityMin || *value > kDensityMax) {
    return failure(in_row(where, row), fmt::format("{} {} is no wedge density", column, *value),
                   "densities are base-10, between 0 and 6");
  }
  return *value;
}

Result<WedgeStep> wedge_step(const Csv& table, std::size_t row, const std::string& where) {
  const auto step = number(table.cell(row, "step"));
  if (!step || *step != static_cast<double>(row + 1)) {
    return failure(
        in_row(where, row),
        fmt::format("steps are out of order: '{}' where step {} belongs", table.cell(row, "step"), row + 1),
        "number the steps 1, 2, 3 ... from one end of the wedge");
  }
  WedgeStep result;
  const auto density = density_cell(table, row, "density", where);
  if (!density) return tl::make_unexpected(density.error());
  result.density = *density;
  if (table.has("blue_density")) {
    const auto blue = density_cell(table, row, "blue_density", where);
    if (!blue) return tl::make_unexpected(blue.error());
    result.blue_density = *blue;
  }
  return result;
}

// The first row whose value does not go on in the direction of the first two, 0 when all do.
template <class Value>
std::size_t turning_row(const std::vector<WedgeStep>& steps, const Value& value) {
  const bool rising = value(steps[1]) > value(steps[0]);
  for (std::size_t i = 1; i < steps.size(); ++i) {
    const bool goes_on =
        rising ? value(steps[i]) > value(steps[i - 1]) : value(steps[i]) < value(steps[i - 1]);
    if (!goes_on) return i;
  }
  return 0;
}

std::optional<Problem> not_monotone(const std::vector<WedgeStep>& steps, const std::string& where) {
  const char* remedy = "list the steps in the order they lie on the wedge, from one end to the other";
  std::size_t row = turning_row(steps, [](const WedgeStep& step) { return step.density; });
  if (row != 0) {
    return Problem{in_row(where, row), "densities do not run one way: steps out of order", remedy};
  }
  if (!steps.front().blue_density) return std::nullopt;
  row = turning_row(steps, [](const WedgeStep& step) { return *step.blue_density; });
  const bool same_way = (*steps.back().blue_density > *steps.front().blue_density) ==
                        (steps.back().density > steps.front().density);
  if (row != 0 || !same_way) {
    return Problem{in_row(where, row), "blue densities do not run the way the densities do", remedy};
  }
  return std::nullopt;
}

}  // namespace

Result<Wedge> parse_wedge(std::string_view text, const std::string& where) {
  const auto table = parse_csv(text, where);
  if (!table) return tl::make_unexpected(table.error());
  if (const auto problem = unknown_columns(*table, where)) return tl::make_unexpected(*problem);
  if (table->rows.size() < kStepsMin || table->rows.size() > kStepsMax) {
    return failure(
        where, fmt::format("lists {} steps, a wedge has {} to {}", table->rows.size(), kStepsMin, kStepsMax),
        kFormat);
  }
  Wedge wedge;
  for (std::size_t row = 0; row < table->rows.size(); ++row) {
    const auto step = wedge_step(*table, row, where);
    if (!step) return tl::make_unexpected(step.error());
    wedge.steps.push_back(*step);
  }
  if (const auto problem = not_monotone(wedge.steps, where)) return tl::make_unexpected(*problem);
  if (wedge.steps.front().density > wedge.steps.back().density) {
    std::reverse(wedge.steps.begin(), wedge.steps.end());
  }
  return wedge;
}

Result<Wedge> read_wedge(const std::filesystem::path& path) {
  constexpr std::uintmax_t kLargest = 1'000'000;  // bytes: 200 rows need a few thousand
  std::error_code error;
  if (!std::filesystem::is_regular_file(path, error)) {
    return failure(path.string(), "is not a file that can be read", "name the wedge's CSV file");
  }
  if (std::filesystem::file_size(path, error) > kLargest) {
    return failure(path.string(), "is too large for a wedge's densities", kFormat);
  }
  std::ifstream file(path, std::ios::binary);
  if (!file) return failure(path.string(), "cannot be opened", "check the file's permissions");
  const std::string text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  return parse_wedge(text, path.string());
}

}  // namespace platewise
