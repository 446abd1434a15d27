#include "platewise/recommend/cautions_to_show.h"

#include <cmath>

#include "platewise/knowledge/cautions.h"

namespace platewise {
namespace {

void add(std::vector<std::string>& keys, const std::vector<std::string>& more) {
  keys.insert(keys.end(), more.begin(), more.end());
}

}  // namespace

std::vector<std::string> cautions_to_show(const std::optional<Recommendation>& recommendation,
                                          const Faults& faults, const PlateSettings& settings) {
  std::vector<std::string> keys;
  if (recommendation) {
    if (recommendation->exposure.change > 0.0) add(keys, {"SITTER", "UV"});
    if (recommendation->development.change != 0.0) add(keys, {"FESO4"});
    for (const std::string& way : recommendation->alternatives) add(keys, caution_keys_of_words(way));
  }
  for (const Fault& fault : faults.found) add(keys, caution_keys_of_fault(fault.id));
  const bool may_be_old = !settings.exposure_s && !settings.development_s;
  if (may_be_old && !keys.empty()) add(keys, {"OLD"});
  return caution_lines(keys);
}

}  // namespace platewise
