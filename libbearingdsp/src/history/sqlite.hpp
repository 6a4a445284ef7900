#pragma once
/// The one owner of SQLite: a database, and statements that are prepared once. Values are bound,
/// never written into a statement.
#include <sqlite3.h>

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp::sqlite {

class Database;

/// A prepared statement in use. The first failure is kept and every later call does nothing, so
/// that it has to be looked at once, at the end.
class Statement {
 public:
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;
  ~Statement();
  Statement& bind(std::string_view text);
  Statement& bind(std::span<const std::uint8_t> bytes);
  Statement& bind(double value);
  Statement& bind(std::int64_t value);
  Statement& bind(int value) { return bind(std::int64_t{value}); }
  template <class T>
  Statement& bind(const std::optional<T>& value) {
    return value ? bind(*value) : bind_null();
  }
  /// True if there is a row to read; false at the end or after a failure.
  [[nodiscard]] bool step();
  /// Columns are read in order, each once.
  [[nodiscard]] std::string text();
  [[nodiscard]] std::vector<std::uint8_t> bytes();
  [[nodiscard]] double real();
  [[nodiscard]] std::int64_t integer();
  [[nodiscard]] std::optional<double> maybe_real();
  [[nodiscard]] std::optional<std::int64_t> maybe_integer();
  /// Success, or the first failure.
  [[nodiscard]] Result<void> result() const;
  /// Runs to the end, ignoring rows.
  [[nodiscard]] Result<void> run();

 private:
  friend class Database;
  Statement(Database& database, sqlite3_stmt* statement, int code);
  Statement& bind_null();
  bool ready();
  Database& database_;
  sqlite3_stmt* statement_;
  int code_;
  int bound_{0};
  int read_{0};
};

struct Close {
  void operator()(sqlite3* db) const noexcept { sqlite3_close_v2(db); }
};
struct Finalize {
  void operator()(sqlite3_stmt* s) const noexcept { sqlite3_finalize(s); }
};

class Database {
 public:
  /// flags as of sqlite3_open_v2.
  /// Errors: io, database
  [[nodiscard]] static Result<std::unique_ptr<Database>> open(const std::string& path,
                                                              const std::string& name, int flags);
  /// The same text always gives the same prepared statement.
  [[nodiscard]] Statement prepare(std::string_view sql);
  /// Several statements without values, such as a schema.
  [[nodiscard]] Result<void> script(const char* sql);
  [[nodiscard]] std::int64_t last_row() const { return sqlite3_last_insert_rowid(db_.get()); }
  /// By the statement that wrote last.
  [[nodiscard]] std::int64_t rows_changed() const { return sqlite3_changes64(db_.get()); }
  /// What a code means to the person. The message is SQLite's.
  [[nodiscard]] Error failure(int code) const;
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] sqlite3* handle() const { return db_.get(); }

 private:
  Database() = default;
  std::string path_;
  std::unique_ptr<sqlite3, Close> db_;
  std::map<std::string, std::unique_ptr<sqlite3_stmt, Finalize>, std::less<>> statements_;
};

/// Writes that happen together or not at all. The lock is taken at the start, so that what is read
/// inside cannot have changed when it is written. Undone unless committed.
class Transaction {
 public:
  explicit Transaction(Database& database);
  ~Transaction();
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  [[nodiscard]] const Result<void>& begun() const { return begun_; }
  [[nodiscard]] Result<void> commit();

 private:
  Database& database_;
  Result<void> begun_;
  bool open_{false};
};

}  // namespace bearingdsp::sqlite
