#include "killed_writers.h"

#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <set>
#include <string>

#include "platewise/logbook/logbook.h"
#include "platewise/stats/random.h"

namespace platewise::trial {
namespace {

// Puts plates until it is killed, and says the number of each after `put` has returned.
[[noreturn]] void write_until_killed(const std::filesystem::path& file, int writer, int out) {
  Result<Logbook> log = Logbook::open(file, LogbookUse::write);
  for (int i = 0; log; ++i) {
    const std::string name = std::to_string(writer) + "-" + std::to_string(i);
    const auto id = log->put({.series = "day", .scan_sha256 = name, .score_json = std::string(3000, 'x')});
    if (!id) break;
    const std::int64_t said = *id;
    if (::write(out, &said, sizeof(said)) != sizeof(said)) break;
  }
  ::_exit(1);
}

struct Writer {
  pid_t process = 0;
  int in = -1;
};

Writer started(const std::filesystem::path& file, int number) {
  std::array<int, 2> ends{};
  if (::pipe(ends.data()) != 0) return {};
  const pid_t process = ::fork();
  if (process == 0) {
    ::close(ends[0]);
    write_until_killed(file, number, ends[1]);
  }
  ::close(ends[1]);
  return {process, ends[0]};
}

void kill_and_read(const Writer& writer, std::set<std::int64_t>& said) {
  ::kill(writer.process, SIGKILL);
  ::waitpid(writer.process, nullptr, 0);
  std::int64_t id = 0;
  while (::read(writer.in, &id, sizeof(id)) == sizeof(id)) said.insert(id);
  ::close(writer.in);
}

bool file_is_whole(const std::filesystem::path& file) {
  sqlite3* connection = nullptr;
  bool whole = false;
  if (sqlite3_open(file.string().c_str(), &connection) == SQLITE_OK) {
    sqlite3_stmt* check = nullptr;
    sqlite3_prepare_v2(connection, "PRAGMA integrity_check", -1, &check, nullptr);
    if (sqlite3_step(check) == SQLITE_ROW) {
      whole = std::string(reinterpret_cast<const char*>(sqlite3_column_text(check, 0))) == "ok";
    }
    sqlite3_finalize(check);
  }
  sqlite3_close(connection);
  return whole;
}

}  // namespace

KilledWriters kill_writers(const std::filesystem::path& file, int rounds) {
  Random random(5);
  std::set<std::int64_t> said;
  KilledWriters result;
  for (int round = 0; round < rounds; ++round) {
    const Writer writers[] = {started(file, 2 * round), started(file, 2 * round + 1)};
    ::usleep(static_cast<useconds_t>(random.uniform(1000.0, 60000.0)));
    for (const Writer& writer : writers) {
      if (writer.process <= 0) continue;
      kill_and_read(writer, said);
      ++result.kills;
    }
  }
  result.acknowledged = static_cast<int>(said.size());
  const Result<Logbook> log = Logbook::open(file, LogbookUse::write);
  const auto plates = log ? log->plates() : tl::make_unexpected(log.error());
  if (plates) {
    for (const LoggedPlate& plate : *plates) said.erase(plate.id);
  }
  result.lost = static_cast<int>(said.size());
  result.whole = file_is_whole(file);
  return result;
}

}  // namespace platewise::trial
