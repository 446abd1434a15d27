#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "platewise/core/result.h"
#include "platewise/logbook/logbook.h"

namespace platewise {

// One prepared statement; parameters are bound in order.
class Statement {
 public:
  Statement(sqlite3* connection, const char* sql);

  Statement& bind(const std::string& text);
  Statement& bind(const std::optional<double>& number);
  Statement& bind(std::int64_t number);

  // SQLITE_ROW, SQLITE_DONE or an error code.
  int step();
  [[nodiscard]] std::string text(int column) const;
  [[nodiscard]] std::optional<double> number(int column) const;
  [[nodiscard]] std::int64_t whole(int column) const;

 private:
  struct Finalise {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
  };
  std::unique_ptr<sqlite3_stmt, Finalise> statement_;
  int result_ = SQLITE_OK;
  int bound_ = 0;
};

// An open connection and the words for what can go wrong with it.
class Logbook::Database {
 public:
  [[nodiscard]] static Result<std::unique_ptr<Database>> open(const std::filesystem::path& file,
                                                              LogbookUse use);

  [[nodiscard]] Result<void> run(const char* sql);
  [[nodiscard]] Statement prepare(const char* sql) const { return {connection_.get(), sql}; }
  [[nodiscard]] tl::unexpected<Problem> problem(int code) const;
  [[nodiscard]] std::int64_t last_id() const { return sqlite3_last_insert_rowid(connection_.get()); }
  [[nodiscard]] int changes() const { return sqlite3_changes(connection_.get()); }
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  struct Close {
    void operator()(sqlite3* connection) const { sqlite3_close_v2(connection); }
  };
  [[nodiscard]] Result<std::int64_t> pragma(const char* sql) const;
  [[nodiscard]] Result<void> check_and_migrate(LogbookUse use);
  [[nodiscard]] Result<void> migrate(std::int64_t version);

  std::unique_ptr<sqlite3, Close> connection_;
  std::string name_;
};

// Begins at once as a writer; rolls back unless committed.
class WriteTransaction {
 public:
  explicit WriteTransaction(Logbook::Database& database);
  ~WriteTransaction();
  WriteTransaction(const WriteTransaction&) = delete;
  WriteTransaction& operator=(const WriteTransaction&) = delete;

  [[nodiscard]] const Result<void>& begun() const { return begun_; }
  [[nodiscard]] Result<void> commit();

 private:
  Logbook::Database& database_;
  Result<void> begun_;
  bool open_ = false;
};

}  // namespace platewise
