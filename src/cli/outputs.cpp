#include "outputs.h"

#include <fmt/format.h>

#include <algorithm>

#include "platewise/write/write_file.h"
#include "scoring.h"

namespace platewise::cli {

void add_json_options(CLI::App& app, JsonTarget& target) {
  constexpr const char* kGroup = "Results";
  app.add_option("--json", target.file,
                 "write the results as JSON; - is standard output, then nothing else goes there")
      ->group(kGroup);
  app.add_flag("--json-lines", target.lines,
               "one JSON object a line (to --json's file, else standard output)")
      ->group(kGroup);
}

void add_resume_option(CLI::App& app, JsonTarget& target) {
  app.add_flag("--resume", target.resume,
               "go on with an interrupted --json FILE --json-lines run; what is done is not done again")
      ->group("Results");
}

ExitCode write_json(const JsonTarget& target, const std::string& document, Console& console) {
  const bool ends = document.empty() || document.back() == '\n';
  const std::string text = ends ? document : document + "\n";
  if (target.takes_standard_output()) {
    console.print(text);
    return ExitCode::done;
  }
  return succeeded(write_file(target.file, text), console) ? ExitCode::done : ExitCode::input_unusable;
}

std::filesystem::path numbered(const std::filesystem::path& file, std::size_t index, std::size_t count) {
  if (count <= 1) return file;
  std::filesystem::path name = file;
  name.replace_filename(file.stem().string() + "-" + std::to_string(index + 1) + file.extension().string());
  return name;
}

ExitCode worse(ExitCode a, ExitCode b) {
  return std::max(a, b);
}

}  // namespace platewise::cli
