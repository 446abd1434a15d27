#include "comb.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

double middle_tone(const std::vector<double>& line, double from, double to) {
  std::vector<double> values;
  for (long x = std::lround(from); x < std::max(std::lround(to), std::lround(from) + 1); ++x) {
    if (x < 0 || x >= static_cast<long>(line.size())) return std::numeric_limits<double>::quiet_NaN();
    if (std::isfinite(line[static_cast<std::size_t>(x)])) values.push_back(line[static_cast<std::size_t>(x)]);
  }
  return values.empty() ? std::numeric_limits<double>::quiet_NaN() : median(values);
}

}  // namespace

Comb::Comb(const StepRow& row) : row_(row), profile_(middle_profile(row)) {
  const double height = row.bottom - row.top;
  above_ = line(row.top - 0.25 * height, row.top - 0.08 * height);
  below_ = line(row.bottom + 0.08 * height, row.bottom + 0.25 * height);
}

Tooth Comb::tooth(int k) const {
  const double a = row_.border(k);
  const double b = row_.border(k + 1);
  const double from = a + 0.2 * (b - a);
  const double to = b - 0.2 * (b - a);
  Tooth tooth;
  if (!(to > from)) return tooth;
  tooth.mean = middle_tone(profile_, from, to);
  tooth.there = std::isfinite(tooth.mean);
  const double up = std::abs(middle_tone(above_, from, to) - tooth.mean);
  const double down = std::abs(middle_tone(below_, from, to) - tooth.mean);
  tooth.beside_known = std::isfinite(up) || std::isfinite(down);
  tooth.like_beside = up < kAlike && down < kAlike;  // false where there is nothing beside
  return tooth;
}

std::vector<Tooth> Comb::teeth(int first, int count) const {
  std::vector<Tooth> result;
  for (int k = first; k < first + count; ++k) result.push_back(tooth(k));
  return result;
}

std::vector<double> Comb::line(double from, double to) const {
  StepRow beside;
  beside.turned = row_.turned;
  beside.top = from;
  beside.bottom = to;
  if (from < 0.0 || to > row_.turned.rows || !(to > from)) return {};
  return middle_profile(beside);
}

}  // namespace platewise
