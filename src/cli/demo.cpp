#include <fmt/format.h>

#include "command.h"
#include "platewise/demo/write_demo.h"

namespace platewise::cli {
namespace {

struct DemoCommand {
  std::string folder;
  std::uint64_t seed = 1;
};

ExitCode run_demo(const DemoCommand& command, Console& console) {
  const auto files =
      write_demo(command.folder, command.seed,
                 [&console](double done, const std::string& name) { console.progress(done, name); });
  console.clear_progress();
  if (!files) {
    console.complain(files.error());
    return ExitCode::input_unusable;
  }
  std::string text = "Plates:\n";
  for (const auto& path : files->plates) text += "  " + path.string() + "\n";
  text += "For calibrating:\n";
  for (const auto& path : files->calibration) text += "  " + path.string() + "\n";
  text += fmt::format("Notes and the truth of each picture: {} files beside them\n", files->notes.size());
  console.print(text);
  return ExitCode::done;
}

}  // namespace

Run set_up_demo(CLI::App& app) {
  const auto command = std::make_shared<DemoCommand>();
  app.add_option("DIR", command->folder, "folder to write into; made if missing")->required();
  app.add_option("--seed", command->seed, "another number renders another day")->capture_default_str();
  return [command](Console& console) { return run_demo(*command, console); };
}

}  // namespace platewise::cli
