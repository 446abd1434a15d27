#include "score_lines.h"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "platewise/json/score_json.h"

namespace platewise::cli {
namespace {

void add_plates_of(const std::string& name, PlatesOfLines& result, Console& console) {
  const auto complain = [&](const Problem& problem) {
    console.complain(problem);
    result.code = ExitCode::input_unusable;
  };
  std::error_code failed;
  if (std::filesystem::is_directory(name, failed)) {
    return complain({name, "is a folder", "name the file of lines that score --json-lines wrote"});
  }
  std::ifstream file(name, std::ios::binary);
  if (!file) return complain({name, "could not be read", "is it there, and may you read it?"});
  std::string line;
  for (int number = 1; std::getline(file, line); ++number) {
    if (line.empty()) continue;
    Result<PlateScore> score = score_from_json(line, fmt::format("{}, line {}", name, number));
    if (score) {
      result.plates.push_back(*std::move(score));
    } else {
      complain(score.error());
    }
  }
  if (file.bad()) complain({name, "could not be read to its end", ""});
}

}  // namespace

PlatesOfLines plates_of_lines(const std::vector<std::string>& files, Console& console) {
  PlatesOfLines result;
  for (const std::string& name : files) add_plates_of(name, result, console);
  return result;
}

}  // namespace platewise::cli
