#include <memory>

#include "command.h"
#include "results.h"

namespace platewise::cli {
namespace {

struct ReportCommand {
  SharedOptions shared;
  ResultOptions results;
};

}  // namespace

Run set_up_report(CLI::App& app) {
  const auto command = std::make_shared<ReportCommand>();
  command->results.report = "platewise-report.html";
  add_shared_options(app, command->shared);
  add_result_options(app, command->results);
  app.footer("Example:\n  platewise report plate-1.tif plate-2.tif --exposure 8s,12s --report day.html");
  return [command](Console& console) { return score_and_write(command->shared, command->results, console); };
}

}  // namespace platewise::cli
