#include "platewise/knowledge/cautions.h"

#include <algorithm>
#include <cctype>

#include "embedded_data.h"
#include "tables.h"

namespace platewise {
namespace {

std::vector<Caution> read_cautions() {
  const Csv table = compiled_table(data::cautions(), "cautions.csv");
  std::vector<Caution> cautions;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    cautions.push_back({table.cell(row, "key"), table.cell(row, "item"), table.cell(row, "line"),
                        table.cell(row, "show_with"), word<Status>(table.cell(row, "status")),
                        table.cell(row, "source")});
  }
  return cautions;
}

struct WordRule {
  std::string stem;
  bool any_ending = false;
  std::vector<std::string> keys;
};

std::vector<WordRule> read_word_rules() {
  const Csv table = compiled_table(data::remedy_words(), "remedy_words.csv");
  std::vector<WordRule> rules;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    std::string stem = table.cell(row, "word");
    const bool any_ending = stem.back() == '*';
    if (any_ending) stem.pop_back();
    rules.push_back({stem, any_ending, words(table.cell(row, "caution_keys"), ';')});
  }
  return rules;
}

bool holds(const std::vector<std::string>& list, std::string_view item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

void add_once(std::vector<std::string>& list, const std::string& item) {
  if (!holds(list, item)) list.push_back(item);
}

std::vector<std::string> lower_case_words(std::string_view text) {
  std::vector<std::string> list(1);
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte) || c == '-') {
      list.back() += static_cast<char>(std::tolower(byte));
    } else if (!list.back().empty()) {
      list.emplace_back();
    }
  }
  return list;
}

// Iron developer is acid, so developer beside cyanide is the same pair; and a remedy that adds acid to the
// developer meets whatever fixer stands next to it, which the program does not know.
bool acid_may_meet_cyanide(const std::vector<std::string>& keys) {
  const bool acid = holds(keys, "ACID");
  const bool developer = holds(keys, "FESO4");
  const bool cyanide = holds(keys, "KCN");
  return (cyanide && (acid || developer)) || (acid && developer);
}

}  // namespace

std::span<const Caution> caution_table() {
  static const std::vector<Caution> cautions = read_cautions();
  return cautions;
}

const Caution* caution(std::string_view key) {
  const std::span<const Caution> all = caution_table();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Caution& c) { return c.key == key; });
  return found == all.end() ? nullptr : &*found;
}

std::vector<std::string> caution_lines(const std::vector<std::string>& keys) {
  std::vector<std::string> ordered;
  if (acid_may_meet_cyanide(keys)) ordered.emplace_back("KCN-ACID");
  for (const std::string& key : keys) add_once(ordered, key);

  std::vector<std::string> lines;
  for (const std::string& key : ordered) {
    const Caution* found = caution(key);
    assert(found != nullptr);
    std::string line = found->item + ": " + found->line;
    line.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(line.front())));
    lines.push_back(std::move(line));
  }
  if (!lines.empty()) lines.emplace_back(kCautionClosing);
  return lines;
}

std::vector<std::string> caution_keys_of_fault(std::string_view fault_id) {
  const KnownFault* fault = known_fault(fault_id);
  return fault ? fault->caution_keys : std::vector<std::string>{};
}

std::vector<std::string> caution_keys_of_words(std::string_view remedy) {
  static const std::vector<WordRule> rules = read_word_rules();
  std::vector<std::string> keys;
  for (const std::string& spoken : lower_case_words(remedy)) {
    for (const WordRule& rule : rules) {
      const bool meant = rule.any_ending ? spoken.starts_with(rule.stem) : spoken == rule.stem;
      if (!meant) continue;
      for (const std::string& key : rule.keys) add_once(keys, key);
    }
  }
  return keys;
}

std::vector<std::string> cautions_for(std::string_view fault_id) {
  return caution_lines(caution_keys_of_fault(fault_id));
}

std::vector<std::string> cautions_for_remedy(std::string_view words_of_remedy) {
  return caution_lines(caution_keys_of_words(words_of_remedy));
}

}  // namespace platewise
