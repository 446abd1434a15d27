#include "database.h"

#include <fmt/format.h>

#include "schema.h"

namespace platewise {
namespace {

constexpr int kWait_ms = 10000;
constexpr const char* kInUse = "is in use by another program";

std::string utf8(const std::filesystem::path& file) {
  const std::u8string text = file.u8string();
  return {text.begin(), text.end()};
}

}  // namespace

Statement::Statement(sqlite3* connection, const char* sql) {
  sqlite3_stmt* raw = nullptr;
  result_ = sqlite3_prepare_v2(connection, sql, -1, &raw, nullptr);
  statement_.reset(raw);
}

Statement& Statement::bind(const std::string& text) {
  if (result_ == SQLITE_OK) {
    result_ = sqlite3_bind_text64(statement_.get(), ++bound_, text.data(), text.size(), SQLITE_TRANSIENT,
                                  SQLITE_UTF8);
  }
  return *this;
}

Statement& Statement::bind(const std::optional<double>& number) {
  if (result_ == SQLITE_OK) {
    ++bound_;
    result_ = number ? sqlite3_bind_double(statement_.get(), bound_, *number)
                     : sqlite3_bind_null(statement_.get(), bound_);
  }
  return *this;
}

Statement& Statement::bind(std::int64_t number) {
  if (result_ == SQLITE_OK) result_ = sqlite3_bind_int64(statement_.get(), ++bound_, number);
  return *this;
}

int Statement::step() {
  return result_ == SQLITE_OK ? sqlite3_step(statement_.get()) : result_;
}

std::string Statement::text(int column) const {
  const auto* bytes = static_cast<const char*>(sqlite3_column_blob(statement_.get(), column));
  const int size = sqlite3_column_bytes(statement_.get(), column);
  return bytes ? std::string(bytes, static_cast<std::size_t>(size)) : std::string{};
}

std::optional<double> Statement::number(int column) const {
  if (sqlite3_column_type(statement_.get(), column) == SQLITE_NULL) return std::nullopt;
  return sqlite3_column_double(statement_.get(), column);
}

std::int64_t Statement::whole(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}

Result<std::unique_ptr<Logbook::Database>> Logbook::Database::open(const std::filesystem::path& file,
                                                                   LogbookUse use) {
  auto database = std::make_unique<Database>();
  database->name_ = utf8(file);
  const int flags =
      use == LogbookUse::read ? SQLITE_OPEN_READONLY : (SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  sqlite3* raw = nullptr;
  const int code = sqlite3_open_v2(database->name_.c_str(), &raw, flags, nullptr);
  database->connection_.reset(raw);
  if (code != SQLITE_OK) return database->problem(code);
  sqlite3_extended_result_codes(raw, 1);
  sqlite3_busy_timeout(raw, kWait_ms);
  // Two writers that make the same new logbook at once may meet while the journal's kind is set, where SQLite
  // does not wait by itself.
  constexpr int kTries = 200;
  constexpr int kPause_ms = 25;
  Result<void> checked = database->check_and_migrate(use);
  for (int i = 0; i < kTries && !checked && checked.error().what == kInUse; ++i) {
    sqlite3_sleep(kPause_ms);
    checked = database->check_and_migrate(use);
  }
  if (!checked) return tl::make_unexpected(checked.error());
  return database;
}

Result<void> Logbook::Database::run(const char* sql) {
  const int code = sqlite3_exec(connection_.get(), sql, nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return problem(code);
  return {};
}

Result<std::int64_t> Logbook::Database::pragma(const char* sql) const {
  Statement statement = prepare(sql);
  const int code = statement.step();
  if (code != SQLITE_ROW) return problem(code);
  return statement.whole(0);
}

Result<void> Logbook::Database::check_and_migrate(LogbookUse use) {
  const auto current = static_cast<std::int64_t>(schema_steps().size());
  // Tables first: another writer may just be making the logbook, and its tables and its mark appear together.
  const Result<std::int64_t> tables = pragma("SELECT count(*) FROM sqlite_master");
  const Result<std::int64_t> application = pragma("PRAGMA application_id");
  const Result<std::int64_t> version = pragma("PRAGMA user_version");
  for (const auto* read : {&version, &application, &tables}) {
    if (!*read) return tl::make_unexpected(read->error());
  }
  if (*tables > 0 && *application != kLogbookApplicationId) {
    return failure(name_, "is a database of another program, not a logbook", "give another file to --log");
  }
  if (*version > current) {
    return failure(
        name_,
        fmt::format("was written by a newer version (format {}, this one knows {})", *version, current),
        "use the newer program");
  }
  if (use == LogbookUse::read) {
    if (*version == current) return {};
    return failure(name_, "is of an older version and was opened for reading only",
                   "score one plate into it, or open it from a place that can be written");
  }
  if (Result<void> set = run("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"); !set) return set;
  return *version == current ? Result<void>{} : migrate(*version);
}

// The version is read again inside the transaction: another program may have been first.
Result<void> Logbook::Database::migrate(std::int64_t version) {
  WriteTransaction transaction(*this);
  if (!transaction.begun()) return transaction.begun();
  const Result<std::int64_t> now = pragma("PRAGMA user_version");
  if (!now) return tl::make_unexpected(now.error());
  version = *now;
  const auto current = static_cast<std::int64_t>(schema_steps().size());
  for (; version < current; ++version) {
    Result<void> done = run(schema_steps()[static_cast<std::size_t>(version)]);
    if (!done) return done;
  }
  if (Result<void> set = run(fmt::format("PRAGMA user_version = {}", current).c_str()); !set) return set;
  return transaction.commit();
}

tl::unexpected<Problem> Logbook::Database::problem(int code) const {
  switch (code & 0xff) {
    case SQLITE_NOTADB:
      return failure(name_, "is not a logbook", "give another file to --log");
    case SQLITE_CORRUPT:
      return failure(name_, "is damaged",
                     "restore it from a copy, or start a new one and keep this file aside");
    case SQLITE_READONLY:
      return failure(name_, "cannot be written", "check the permissions of the file and its folder");
    case SQLITE_CANTOPEN:
      return failure(name_, "cannot be opened",
                     "check that the file and its folder are there and may be used");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return failure(name_, kInUse, "try again when that has finished");
    case SQLITE_FULL:
      return failure(name_, "could not be written: the disk is full", "make room and try again");
    default:
      return failure(name_, fmt::format("could not be used ({})", sqlite3_errmsg(connection_.get())));
  }
}

WriteTransaction::WriteTransaction(Logbook::Database& database)
    : database_(database), begun_(database.run("BEGIN IMMEDIATE")), open_(begun_.has_value()) {}

WriteTransaction::~WriteTransaction() {
  if (open_) (void)database_.run("ROLLBACK");
}

Result<void> WriteTransaction::commit() {
  Result<void> done = database_.run("COMMIT");
  if (done) open_ = false;
  return done;
}

}  // namespace platewise
