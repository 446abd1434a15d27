#include "values.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "platewise/knowledge/plate_sizes.h"

namespace platewise::cli {
namespace {

std::string_view trimmed(std::string_view text) {
  const auto is_space = [](char c) { return c == ' ' || c == '\t'; };
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

std::string lower(std::string_view text) {
  std::string word(text);
  for (char& c : word) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return word;
}

// Takes a unit off the end when it is there.
bool take_ending(std::string_view& text, std::string_view ending) {
  if (text.size() <= ending.size() || !text.ends_with(ending)) return false;
  text = trimmed(text.substr(0, text.size() - ending.size()));
  return true;
}

tl::unexpected<Problem> wrong(const std::string& where, std::string_view text, const std::string& wanted) {
  return failure(where, fmt::format("cannot understand \"{}\"", text), wanted);
}

// A number or a ratio of two, "1/4".
std::optional<double> number_or_ratio(std::string_view text) {
  const std::size_t bar = text.find('/');
  if (bar == std::string_view::npos) return number_in(text);
  const auto over = number_in(text.substr(0, bar));
  const auto under = number_in(text.substr(bar + 1));
  if (!over || !under || *under == 0.0) return std::nullopt;
  return *over / *under;
}

constexpr double kLongestTime_s = 1e6;
constexpr double kLargestPlate_mm = 2000.0;

}  // namespace

std::optional<double> number_in(std::string_view text) {
  text = trimmed(text);
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

Result<double> time_s(std::string_view text, const std::string& where) {
  const std::string word = lower(trimmed(text));
  std::string_view rest = word;
  double unit_s = 1.0;
  if (take_ending(rest, "min") || take_ending(rest, "m")) {
    unit_s = 60.0;
  } else if (!take_ending(rest, "sec")) {
    take_ending(rest, "s");
  }
  const auto value = number_or_ratio(rest);
  if (!value || *value <= 0.0 || *value * unit_s > kLongestTime_s) {
    return wrong(where, text, "a time is written like 10s, 1/4s or 2min");
  }
  return *value * unit_s;
}

Result<double> f_number(std::string_view text, const std::string& where) {
  const std::string word = lower(trimmed(text));
  std::string_view rest = word;
  if (rest.starts_with('f')) rest.remove_prefix(1);
  if (rest.starts_with('/')) rest.remove_prefix(1);
  const auto value = number_in(rest);
  constexpr double kLargest = 1000.0;  // pinholes are around f/200
  if (!value || *value <= 0.0 || *value > kLargest) {
    return wrong(where, text, "an aperture is written like f/4 or 5.6");
  }
  return *value;
}

Result<double> exposure_value(std::string_view text, const std::string& where) {
  const std::string word = lower(trimmed(text));
  std::string_view rest = word;
  take_ending(rest, "ev");
  const auto value = number_in(rest);
  constexpr double kFurthest = 40.0;
  if (!value || std::abs(*value) > kFurthest)
    return wrong(where, text, "a meter reading is written like 12.5");
  return *value;
}

Result<double> bellows_ratio(std::string_view text, const std::string& where) {
  const std::string word = lower(trimmed(text));
  std::string_view rest = word;
  take_ending(rest, "mm");
  const auto value = number_or_ratio(rest);
  constexpr double kLeast = 0.9;
  constexpr double kMost = 20.0;
  if (value && *value >= kLeast && *value <= kMost) return *value;
  return wrong(where, text, "the draw of the camera over the focal length is written like 300/210mm or 1.43");
}

Result<double> schwarzschild_p(std::string_view text, const std::string& where) {
  const auto value = number_in(text);
  constexpr double kLeast = 0.5;
  if (value && *value >= kLeast && *value <= 1.0) return *value;
  return wrong(where, text,
               "Schwarzschild's exponent lies between 0.5 and 1: 1 where long exposures lose nothing");
}

Result<PlateSizeMm> plate_size(std::string_view text, const std::string& where) {
  if (const auto named = plate_size_named(trimmed(text))) {
    return PlateSizeMm{named->short_mm, named->long_mm, std::string(named->name)};
  }
  const std::string word = lower(trimmed(text));
  std::string_view rest = word;
  double unit_mm = 1.0;
  if (take_ending(rest, "cm")) {
    unit_mm = 10.0;
  } else if (take_ending(rest, "in")) {
    unit_mm = 25.4;
  } else {
    take_ending(rest, "mm");
  }
  const std::size_t by = rest.find('x');
  const auto width = by == std::string_view::npos ? std::nullopt : number_in(rest.substr(0, by));
  const auto height = by == std::string_view::npos ? std::nullopt : number_in(rest.substr(by + 1));
  const auto fits = [&](std::optional<double> side) {
    return side && *side > 0.0 && *side * unit_mm <= kLargestPlate_mm;
  };
  if (fits(width) && fits(height)) return PlateSizeMm{*width * unit_mm, *height * unit_mm, std::nullopt};
  std::string names;
  for (const PlateSize& size : plate_sizes()) names += fmt::format("{}, ", size.name);
  return wrong(where, text, "a size is " + names + "or like 165x216mm");
}

std::vector<std::string> parts_between_commas(std::string_view text) {
  std::vector<std::string> parts;
  while (true) {
    const std::size_t comma = text.find(',');
    parts.emplace_back(trimmed(text.substr(0, comma)));
    if (comma == std::string_view::npos) return parts;
    text.remove_prefix(comma + 1);
  }
}

Result<std::vector<double>> numbers(std::string_view text, std::size_t count, const std::string& where,
                                    const std::string& example) {
  std::vector<double> list;
  for (const std::string& part : parts_between_commas(text)) {
    const auto value = number_in(part);
    if (!value) return wrong(where, text, example);
    list.push_back(*value);
  }
  if (list.size() != count) return wrong(where, text, example);
  return list;
}

Result<Quad> corners_px(std::string_view text, const std::string& where) {
  const auto list = numbers(text, 8, where, "four corners in pixels: x,y,x,y,x,y,x,y, or the word frame");
  if (!list) return tl::make_unexpected(list.error());
  Quad quad;
  for (std::size_t i = 0; i < 4; ++i) quad[i] = {(*list)[2 * i], (*list)[2 * i + 1]};
  // Given in any order: sorted around their middle, so that no sides cross.
  const Point middle = 0.25 * (quad[0] + quad[1] + quad[2] + quad[3]);
  std::sort(quad.begin(), quad.end(), [&](Point a, Point b) {
    return std::atan2(a.y - middle.y, a.x - middle.x) < std::atan2(b.y - middle.y, b.x - middle.x);
  });
  if (!is_convex(quad))
    return failure(where, "these four corners make no plate", "x,y of each corner in pixels");
  return quad;
}

}  // namespace platewise::cli
