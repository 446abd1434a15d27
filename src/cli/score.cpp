#include <memory>

#include "command.h"
#include "results.h"

namespace platewise::cli {
namespace {

struct ScoreCommand {
  SharedOptions shared;
  ResultOptions results;
};

}  // namespace

Run set_up_score(CLI::App& app) {
  const auto command = std::make_shared<ScoreCommand>();
  add_shared_options(app, command->shared);
  add_result_options(app, command->results);
  app.footer(
      "Examples:\n"
      "  platewise score plate.tif --plate-size quarter --exposure 8s --development 20s\n"
      "  platewise score day/*.tif --settings day/settings.csv --device scanner.json --report day.html");
  return [command](Console& console) { return score_and_write(command->shared, command->results, console); };
}

}  // namespace platewise::cli
