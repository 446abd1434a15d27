#pragma once

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

namespace platewise::published {

// Published and independently computed figures carried with the tests; each file names its source in its
// first lines.

// Kept for the whole run, so that a test can go through a part of it.
[[nodiscard]] inline const nlohmann::json& json(const std::string& name) {
  static std::map<std::string, nlohmann::json> kept;
  const auto [at, is_new] = kept.try_emplace(name);
  if (is_new) {
    std::ifstream file(std::string(PLATEWISE_TESTS_DIR) + "/published/" + name);
    at->second = nlohmann::json::parse(file);
  }
  return at->second;
}

// Rows of a CSV without commas inside its fields; `#` lines and the header row are left out.
[[nodiscard]] inline std::vector<std::vector<std::string>> csv(const std::string& name) {
  std::ifstream file(std::string(PLATEWISE_TESTS_DIR) + "/published/" + name);
  std::vector<std::vector<std::string>> rows;
  bool header = true;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    if (header) {
      header = false;
      continue;
    }
    std::vector<std::string> fields;
    std::istringstream cells(line);
    for (std::string field; std::getline(cells, field, ',');) fields.push_back(field);
    if (line.back() == ',') fields.emplace_back();
    rows.push_back(fields);
  }
  return rows;
}

using Numbers = std::vector<double>;

}  // namespace platewise::published
