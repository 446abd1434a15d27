#include "platewise/knowledge/fault_table.h"

#include <algorithm>

#include "embedded_data.h"
#include "tables.h"

namespace platewise {
namespace {

std::vector<KnownCause> causes_of(const Csv& causes, const std::string& id) {
  std::vector<KnownCause> found;
  for (std::size_t row = 0; row < causes.rows.size(); ++row) {
    if (causes.cell(row, "fault") != id) continue;
    found.push_back({causes.cell(row, "step"), causes.cell(row, "cause"),
                     word<Status>(causes.cell(row, "status")), causes.cell(row, "source")});
  }
  return found;
}

std::vector<KnownRemedy> remedies_of(const Csv& remedies, const std::string& id) {
  std::vector<KnownRemedy> found;
  for (std::size_t row = 0; row < remedies.rows.size(); ++row) {
    if (remedies.cell(row, "fault") != id) continue;
    found.push_back({remedies.cell(row, "remedy"), word<Status>(remedies.cell(row, "status")),
                     remedies.cell(row, "source")});
  }
  return found;
}

std::vector<KnownFault> read_faults() {
  const Csv table = compiled_table(data::faults(), "faults.csv");
  const Csv causes = compiled_table(data::fault_causes(), "fault_causes.csv");
  const Csv remedies = compiled_table(data::fault_remedies(), "fault_remedies.csv");
  std::vector<KnownFault> faults;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto cell = [&](std::string_view column) { return table.cell(row, column); };
    faults.push_back({.id = cell("id"),
                      .trade_names = words(cell("trade_names"), ';'),
                      .look = cell("look"),
                      .size_mm = cell("size_mm"),
                      .tone_on_positive = cell("tone_on_positive"),
                      .tone_on_negative = cell("tone_on_negative"),
                      .where = cell("where"),
                      .orientation = cell("orientation"),
                      .confused_with = cell("confused_with"),
                      .marked_in = word<MarkedIn>(cell("part")),
                      .seen = word<Seen>(cell("seen")),
                      .question = cell("question"),
                      .caution_keys = words(cell("caution_keys"), ';'),
                      .causes = causes_of(causes, cell("id")),
                      .remedies = remedies_of(remedies, cell("id")),
                      .status = word<Status>(cell("status")),
                      .source = cell("source")});
  }
  return faults;
}

}  // namespace

std::span<const KnownFault> known_faults() {
  static const std::vector<KnownFault> faults = read_faults();
  return faults;
}

const KnownFault* known_fault(std::string_view id) {
  const std::span<const KnownFault> faults = known_faults();
  const auto found = std::find_if(faults.begin(), faults.end(), [&](const auto& f) { return f.id == id; });
  return found == faults.end() ? nullptr : &*found;
}

std::vector<std::string> likely_causes(std::string_view fault_id) {
  std::vector<std::string> sentences;
  if (const KnownFault* fault = known_fault(fault_id)) {
    for (const KnownCause& cause : fault->causes) sentences.push_back(cause.step + ": " + cause.text);
  }
  return sentences;
}

std::vector<std::string> remedies(std::string_view fault_id) {
  std::vector<std::string> sentences;
  if (const KnownFault* fault = known_fault(fault_id)) {
    for (const KnownRemedy& remedy : fault->remedies) sentences.push_back(remedy.text);
  }
  return sentences;
}

}  // namespace platewise
