#include "platewise/knowledge/light_words.h"

#include <cctype>
#include <cstdlib>
#include <vector>

#include "embedded_data.h"
#include "tables.h"

namespace platewise {
namespace {

std::vector<NotedLight> read_light_words() {
  const Csv table = compiled_table(data::light_words(), "light_words.csv");
  std::vector<NotedLight> lights;
  for (std::size_t row = 0; row < table.rows.size(); ++row)
    lights.push_back({table.cell(row, "words"),
                      {std::strtod(table.cell(row, "stops").c_str(), nullptr),
                       std::strtod(table.cell(row, "u").c_str(), nullptr)}});
  return lights;
}

// Lower case, one space between words and at both ends.
std::string plain_words(std::string_view text) {
  std::string plain = " ";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte) != 0)
      plain += static_cast<char>(std::tolower(byte));
    else if (plain.back() != ' ')
      plain += ' ';
  }
  return plain.back() == ' ' ? plain : plain + ' ';
}

bool says(const std::string& note, const std::string& words) {
  const std::size_t at = note.find(" " + words + " ");
  if (at == std::string::npos) return false;
  const std::string_view before = std::string_view(note).substr(0, at);
  return !before.ends_with(" no") && !before.ends_with(" not") && !before.ends_with(" without");
}

}  // namespace

std::optional<NotedLight> noted_light(std::string_view note) {
  static const std::vector<NotedLight> lights = read_light_words();
  const std::string words = plain_words(note);
  std::optional<NotedLight> found;
  for (const NotedLight& light : lights) {
    if (!says(words, light.words)) continue;
    if (found && found->stops.value != light.stops.value) return std::nullopt;
    if (!found) found = light;
  }
  return found;
}

}  // namespace platewise
