#include "fault_groups.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "words.h"

namespace platewise {
namespace {

constexpr double kMm2PerCm2 = 100.0;

double film_area_units2(const PlateScore& score) {
  const PlateScale& scale = score.outline.scale;
  const double covered = score.regions ? score.regions->covered_fraction : 1.0;
  return scale.width_units * scale.height_units * covered;
}

bool is_worse(const Fault& a, const Fault& b) {
  return a.severity != b.severity ? a.severity > b.severity : a.area > b.area;
}

}  // namespace

std::vector<FaultGroup> fault_groups(const PlateScore& score) {
  const std::vector<Fault>& found = score.faults.found;
  std::map<std::string, FaultGroup> by_id;
  for (std::size_t i = 0; i < found.size(); ++i) {
    FaultGroup& group = by_id[found[i].id];
    group.id = found[i].id;
    group.members.push_back(i);
    group.area_share += found[i].area / (score.outline.scale.width_units * score.outline.scale.height_units);
  }
  std::vector<FaultGroup> groups;
  const double film_area = film_area_units2(score);
  for (auto& [id, group] : by_id) {
    std::stable_sort(group.members.begin(), group.members.end(),
                     [&](std::size_t a, std::size_t b) { return is_worse(found[a], found[b]); });
    if (score.outline.scale.millimetres && film_area > 0.0) {
      group.per_cm2 = static_cast<double>(group.members.size()) * kMm2PerCm2 / film_area;
    }
    groups.push_back(std::move(group));
  }
  std::stable_sort(groups.begin(), groups.end(), [&](const FaultGroup& a, const FaultGroup& b) {
    return is_worse(found[a.members.front()], found[b.members.front()]);
  });
  return groups;
}

std::string kinds_text(const std::vector<std::string>& ids) {
  std::map<std::string, int> counts;
  for (const std::string& id : ids) ++counts[id];
  std::string text;
  for (const auto& [id, count] : counts) {
    if (!text.empty()) text += ", ";
    text += count == 1 ? words::fault(id) : fmt::format(words::kTextMany, count, words::fault(id));
  }
  return text;
}

}  // namespace platewise
