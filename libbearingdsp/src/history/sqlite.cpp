#include "history/sqlite.hpp"

#include <functional>
#include <utility>

namespace bearingdsp::sqlite {

Statement::Statement(Database& database, sqlite3_stmt* statement, int code)
    : database_{database}, statement_{statement}, code_{code} {}

Statement::~Statement() {
  if (statement_ == nullptr) return;
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

bool Statement::ready() { return statement_ != nullptr && code_ == SQLITE_OK; }

Statement& Statement::bind(std::string_view text) {
  // A null pointer would bind NULL; an empty text is a text.
  const char* data = text.data() == nullptr ? "" : text.data();
  if (ready())
    code_ =
        sqlite3_bind_text64(statement_, ++bound_, data, text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
  return *this;
}

Statement& Statement::bind(std::span<const std::uint8_t> bytes) {
  // A null pointer would bind NULL; no bytes are bytes.
  const void* data = bytes.empty() ? "" : static_cast<const void*>(bytes.data());
  if (ready())
    code_ = sqlite3_bind_blob64(statement_, ++bound_, data, bytes.size(), SQLITE_TRANSIENT);
  return *this;
}

Statement& Statement::bind(double value) {
  if (ready()) code_ = sqlite3_bind_double(statement_, ++bound_, value);
  return *this;
}

Statement& Statement::bind(std::int64_t value) {
  if (ready()) code_ = sqlite3_bind_int64(statement_, ++bound_, value);
  return *this;
}

Statement& Statement::bind_null() {
  if (ready()) code_ = sqlite3_bind_null(statement_, ++bound_);
  return *this;
}

bool Statement::step() {
  read_ = 0;
  if (!ready()) return false;
  const int code = sqlite3_step(statement_);
  if (code != SQLITE_ROW && code != SQLITE_DONE) code_ = code;
  return code == SQLITE_ROW;
}

std::string Statement::text() {
  const int at = read_++;
  const unsigned char* data = sqlite3_column_text(statement_, at);
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_, at));
  return data == nullptr ? std::string{} : std::string{data, data + size};
}

std::vector<std::uint8_t> Statement::bytes() {
  const int at = read_++;
  const auto* data = static_cast<const std::uint8_t*>(sqlite3_column_blob(statement_, at));
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_, at));
  return data == nullptr ? std::vector<std::uint8_t>{}
                         : std::vector<std::uint8_t>{data, data + size};
}

double Statement::real() { return sqlite3_column_double(statement_, read_++); }

std::int64_t Statement::integer() { return sqlite3_column_int64(statement_, read_++); }

std::optional<double> Statement::maybe_real() {
  const int at = read_++;
  if (sqlite3_column_type(statement_, at) == SQLITE_NULL) return std::nullopt;
  return sqlite3_column_double(statement_, at);
}

std::optional<std::int64_t> Statement::maybe_integer() {
  const int at = read_++;
  if (sqlite3_column_type(statement_, at) == SQLITE_NULL) return std::nullopt;
  return sqlite3_column_int64(statement_, at);
}

Result<void> Statement::result() const {
  if (code_ == SQLITE_OK) return {};
  return database_.failure(code_);
}

Result<void> Statement::run() {
  while (step()) {
  }
  return result();
}

Result<std::unique_ptr<Database>> Database::open(const std::string& path, const std::string& name,
                                                 int flags) {
  std::unique_ptr<Database> database{new Database};
  database->path_ = path;
  sqlite3* raw = nullptr;
  const int code = sqlite3_open_v2(name.c_str(), &raw, flags | SQLITE_OPEN_NOMUTEX, nullptr);
  database->db_.reset(raw);
  if (raw == nullptr) throw std::bad_alloc{};
  if (code != SQLITE_OK) return database->failure(code);
  sqlite3_extended_result_codes(raw, 1);
  // Another process writes for milliseconds at a time; whoever waits this long waits for a fault.
  constexpr int patience_ms = 60'000;
  sqlite3_busy_timeout(raw, patience_ms);
  return database;
}

Statement Database::prepare(std::string_view sql) {
  if (const auto known = statements_.find(sql); known != statements_.end())
    return {*this, known->second.get(), SQLITE_OK};
  sqlite3_stmt* raw = nullptr;
  const int code = sqlite3_prepare_v3(db_.get(), sql.data(), static_cast<int>(sql.size()),
                                      SQLITE_PREPARE_PERSISTENT, &raw, nullptr);
  if (code != SQLITE_OK) return {*this, nullptr, code};
  statements_.emplace(std::string{sql}, raw);
  return {*this, raw, SQLITE_OK};
}

Result<void> Database::script(const char* sql) {
  const int code = sqlite3_exec(db_.get(), sql, nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return failure(code);
  return {};
}

Error Database::failure(int code) const {
  const std::string said = db_ && sqlite3_errcode(db_.get()) != SQLITE_OK
                               ? sqlite3_errmsg(db_.get())
                               : sqlite3_errstr(code);
  switch (code & 0xff) {
    case SQLITE_NOTADB:
      return {Errc::corrupt_file, path_, "is no history", "check the name"};
    case SQLITE_CORRUPT:
      return {Errc::corrupt_file, path_, "is damaged: " + said,
              "restore a copy; 'history check' says what is damaged"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {Errc::database, path_, "is held by another program for more than a minute",
              "close that program and try again"};
    case SQLITE_FULL:
      return {Errc::io, path_, "cannot grow: the disk is full", "free some space"};
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return {Errc::io, path_, "may not be written: " + said, "check the permissions"};
    case SQLITE_CANTOPEN:
      return {Errc::io, path_, "cannot be opened: " + said, "check the folder and the permissions"};
    default:
      return {Errc::database, path_, said, "'history check' says whether the database is OK"};
  }
}

Transaction::Transaction(Database& database) : database_{database} {
  begun_ = database.prepare("BEGIN IMMEDIATE").run();
  open_ = begun_.has_value();
}

Transaction::~Transaction() {
  if (open_) static_cast<void>(database_.prepare("ROLLBACK").run());
}

Result<void> Transaction::commit() {
  auto done = database_.prepare("COMMIT").run();
  open_ = !done;
  return done;
}

}  // namespace bearingdsp::sqlite
