#include "severity.h"

#include <algorithm>

namespace platewise {
namespace {

constexpr double kHalfShare = 0.01;     // of the plate's area
constexpr double kFullContrast = 1e-4;  // of the plate's area: smaller marks are seen less for their size
constexpr double kMostForContrast = 0.5;
constexpr double kMostForPlace = 0.5;

// Share of the corners of the outline that lie in the part that matters.
double share_in(const SubjectBox& box, const Polygon& outline) {
  if (outline.empty()) return 0.0;
  const auto inside = std::count_if(outline.begin(), outline.end(), [&](const Point& p) {
    return p.x >= box.x && p.y >= box.y && p.x <= box.x + box.width && p.y <= box.y + box.height;
  });
  return static_cast<double>(inside) / static_cast<double>(outline.size());
}

}  // namespace

double severity(const Candidate& candidate, double plate_area,
                const std::optional<SubjectBox>& subject_units) {
  const double share = candidate.area / std::max(plate_area, 1e-9);
  const double area_part = share / (share + kHalfShare);
  const double contrast_part =
      kMostForContrast * std::min(1.0, candidate.contrast) * std::min(1.0, share / kFullContrast);
  const double place_part =
      subject_units ? kMostForPlace * share_in(*subject_units, candidate.outline_units) : 0.0;
  return std::clamp(1.0 - (1.0 - area_part) * (1.0 - contrast_part) * (1.0 - place_part), 0.0, 1.0);
}

}  // namespace platewise
