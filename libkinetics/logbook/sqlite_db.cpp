#include "libkinetics/logbook/sqlite_db.h"

namespace kinetics::sqlite {
namespace {

// Another process holds the file for as long as it commits, which is a fraction of a second.
constexpr int kPatienceMs = 20000;

int flags_for(Access access) {
  switch (access) {
    case Access::kReadOnly:
      return SQLITE_OPEN_READONLY;
    case Access::kMemory:
      return SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MEMORY;
    case Access::kReadWrite:
      break;
  }
  return SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
}

void require(bool done, sqlite3* db) {
  if (!done) throw Trouble(sqlite3_errcode(db), sqlite3_errmsg(db));
}

}  // namespace

Database::Database(const std::string& path, Access access) : db_(nullptr, &sqlite3_close) {
  sqlite3* opened = nullptr;
  const std::string name = access == Access::kMemory ? ":memory:" : path;
  const int code = sqlite3_open_v2(name.c_str(), &opened, flags_for(access), nullptr);
  db_.reset(opened);
  if (code != SQLITE_OK) throw Trouble(code, sqlite3_errstr(code));
  sqlite3_busy_timeout(opened, kPatienceMs);
}

void Database::run(const char* statements) const {
  require(sqlite3_exec(db_.get(), statements, nullptr, nullptr, nullptr) == SQLITE_OK, db_.get());
}

void copy(const Database& from, const Database& to) {
  sqlite3_backup* const backup = sqlite3_backup_init(to.get(), "main", from.get(), "main");
  require(backup != nullptr, to.get());
  sqlite3_backup_step(backup, -1);
  const int code = sqlite3_backup_finish(backup);
  if (code != SQLITE_OK) throw Trouble(code, sqlite3_errstr(code));
}

Statement::Statement(const Database& db, const std::string& text)
    : statement_(nullptr, &sqlite3_finalize), db_(db.get()) {
  sqlite3_stmt* made = nullptr;
  const int code = sqlite3_prepare_v2(db_, text.c_str(), -1, &made, nullptr);
  statement_.reset(made);
  require(code == SQLITE_OK, db_);
}

void Statement::bind(int place, const std::string& value) const {
  const int size = static_cast<int>(value.size());
  require(
      sqlite3_bind_text(statement_.get(), place, value.data(), size, SQLITE_TRANSIENT) == SQLITE_OK,
      db_);
}

void Statement::bind(int place, double value) const {
  require(sqlite3_bind_double(statement_.get(), place, value) == SQLITE_OK, db_);
}

void Statement::bind(int place, std::int64_t value) const {
  require(sqlite3_bind_int64(statement_.get(), place, value) == SQLITE_OK, db_);
}

void Statement::bind_nothing(int place) const {
  require(sqlite3_bind_null(statement_.get(), place) == SQLITE_OK, db_);
}

bool Statement::next() const {
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  throw Trouble(code, sqlite3_errmsg(db_));
}

std::string Statement::text(int column) const {
  const auto* const bytes =
      reinterpret_cast<const char*>(sqlite3_column_text(statement_.get(), column));
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column));
  return bytes == nullptr ? std::string() : std::string(bytes, size);
}

Transaction::Transaction(const Database& db) : db_(db) {
  db_.run("BEGIN IMMEDIATE");
}

Transaction::~Transaction() {
  if (open_) sqlite3_exec(db_.get(), "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit() {
  db_.run("COMMIT");
  open_ = false;
}

}  // namespace kinetics::sqlite
