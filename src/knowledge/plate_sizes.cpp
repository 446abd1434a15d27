#include "platewise/knowledge/plate_sizes.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <string>

namespace platewise {
namespace {

constexpr double kInch_mm = 25.4;
constexpr std::string_view kReference = "reference page on 19th-century plate sizes (read)";
constexpr std::string_view kForum = "present-day forum list (read)";
constexpr std::string_view kPractice = "common practice, no source";

// The rows "plate size" of the handbook's number table, in inches as printed there.
constexpr std::array<PlateSize, 13> kPlateSizes{{
    {"mammoth", 18 * kInch_mm, 22 * kInch_mm, "present-day forum list; McCabe 1991 (read)"},
    {"8x10in", 8 * kInch_mm, 10 * kInch_mm, kPractice},
    {"whole", 6.5 * kInch_mm, 8.5 * kInch_mm, kReference},
    {"5x7in", 5 * kInch_mm, 7 * kInch_mm, kPractice},
    {"english_half", 4.75 * kInch_mm, 6.5 * kInch_mm, "British plate sizes, standard lists (from memory)"},
    {"half", 4.25 * kInch_mm, 5.5 * kInch_mm, kReference},
    {"4x5in", 4 * kInch_mm, 5 * kInch_mm, kPractice},
    {"quarter", 3.25 * kInch_mm, 4.25 * kInch_mm, kReference},
    {"sixth", 2.75 * kInch_mm, 3.25 * kInch_mm, kReference},
    {"eighth", 2.125 * kInch_mm, 3.25 * kInch_mm, kForum},
    {"ninth", 2 * kInch_mm, 2.5 * kInch_mm, kReference},
    {"sixteenth", 1.375 * kInch_mm, 1.625 * kInch_mm, kReference},
    {"gem", 0.75 * kInch_mm, 1 * kInch_mm, "genealogy page on tintypes (read); sources differ"},
}};

// "Half plate", "half-plate" and "half" are one name.
std::string plain(std::string_view name) {
  std::string word;
  for (const char c : name) {
    if (c == ' ' || c == '-') {
      word += '_';
    } else {
      word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
  }
  constexpr std::string_view kEnding = "_plate";
  if (word.size() > kEnding.size() && word.ends_with(kEnding)) word.resize(word.size() - kEnding.size());
  return word;
}

// The larger of the two sides' deviations from the nominal size.
double deviation_mm(const PlateSize& size, double short_mm, double long_mm) {
  return std::max(std::abs(size.short_mm - short_mm), std::abs(size.long_mm - long_mm));
}

}  // namespace

std::span<const PlateSize> plate_sizes() {
  return kPlateSizes;
}

std::optional<PlateSize> plate_size_named(std::string_view name) {
  const std::string word = plain(name);
  for (const PlateSize& size : kPlateSizes) {
    if (size.name == word || (size.name.ends_with("in") && size.name.substr(0, size.name.size() - 2) == word))
      return size;
  }
  return std::nullopt;
}

std::optional<PlateSize> nearest_plate_size(double width_mm, double height_mm) {
  const double short_mm = std::min(width_mm, height_mm);
  const double long_mm = std::max(width_mm, height_mm);
  const auto* nearest =
      std::min_element(kPlateSizes.begin(), kPlateSizes.end(), [&](const PlateSize& a, const PlateSize& b) {
        return deviation_mm(a, short_mm, long_mm) < deviation_mm(b, short_mm, long_mm);
      });
  if (deviation_mm(*nearest, short_mm, long_mm) > kPlateSizeTolerance_mm) return std::nullopt;
  return *nearest;
}

std::vector<PlateSize> plate_sizes_of_aspect(double width, double height, double relative_tolerance) {
  const double aspect = std::max(width, height) / std::min(width, height);
  const auto off = [&](const PlateSize& size) {
    return std::abs(size.long_mm / size.short_mm / aspect - 1.0);
  };
  std::vector<PlateSize> sizes;
  std::copy_if(kPlateSizes.begin(), kPlateSizes.end(), std::back_inserter(sizes),
               [&](const PlateSize& size) { return off(size) <= relative_tolerance; });
  std::stable_sort(sizes.begin(), sizes.end(),
                   [&](const PlateSize& a, const PlateSize& b) { return off(a) < off(b); });
  return sizes;
}

}  // namespace platewise
