#include "rules.h"

#include <cassert>

namespace platewise {
namespace {

constexpr MarkPoint kExposure[] = {{0.0, 100}, {1.0 / 3.0, 85}, {1.0, 55}, {2.0, 20}, {3.0, 0}};
constexpr MarkPoint kDevelopment[] = {{0.0, 100}, {0.1, 90}, {0.3, 60}, {0.6, 25}, {1.0, 0}};
constexpr MarkPoint kFog[] = {{0.03, 100}, {0.08, 85}, {0.15, 60}, {0.3, 25}, {0.6, 0}};
constexpr MarkPoint kCoverage[] = {{0.02, 100}, {0.05, 95}, {0.2, 70}, {0.5, 25}, {1.0, 0}};

}  // namespace

double mark_for(std::span<const MarkPoint> table, double error) {
  assert(!table.empty());
  if (error <= table.front().error) return table.front().mark;
  for (std::size_t i = 1; i < table.size(); ++i) {
    const MarkPoint& left = table[i - 1];
    const MarkPoint& right = table[i];
    if (error > right.error) continue;
    return left.mark + (right.mark - left.mark) * (error - left.error) / (right.error - left.error);
  }
  return table.back().mark;
}

std::span<const MarkPoint> exposure_marks() {
  return kExposure;
}
std::span<const MarkPoint> development_marks() {
  return kDevelopment;
}
std::span<const MarkPoint> fog_marks() {
  return kFog;
}
std::span<const MarkPoint> coverage_marks() {
  return kCoverage;
}

}  // namespace platewise
