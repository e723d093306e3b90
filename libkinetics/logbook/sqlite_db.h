#pragma once

#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>

#include <sqlite3.h>

/// SQLite with resources that free themselves and errors that throw. Private to the logbook.

namespace kinetics::sqlite {

/// Anything SQLite refused. Never leaves the room: the index can always be made anew.
class Trouble : public std::runtime_error {
 public:
  Trouble(int code, const std::string& what) : std::runtime_error(what), code_(code) {}
  /// The file is no database, or a damaged one.
  [[nodiscard]] bool is_damage() const { return code_ == SQLITE_CORRUPT || code_ == SQLITE_NOTADB; }

 private:
  int code_;
};

enum class Access { kReadWrite, kReadOnly, kMemory };

class Database {
 public:
  /// `path` does not count for a database in memory. A file is made when missing, unless it is only
  /// to be read.
  Database(const std::string& path, Access access);

  void run(const char* statements) const;
  [[nodiscard]] sqlite3* get() const { return db_.get(); }

 private:
  std::unique_ptr<sqlite3, int (*)(sqlite3*)> db_;
};

/// Replaces everything in `to` by what is in `from`.
void copy(const Database& from, const Database& to);

/// One statement with its parameters, run row by row.
class Statement {
 public:
  Statement(const Database& db, const std::string& text);

  /// Parameters from the first on.
  template <typename... Values>
  Statement& with(const Values&... values) {
    sqlite3_reset(statement_.get());
    int place = 0;
    (bind(++place, values), ...);
    return *this;
  }
  void bind(int place, const std::string& value) const;
  void bind(int place, double value) const;
  void bind(int place, std::int64_t value) const;
  void bind(int place, int value) const { bind(place, std::int64_t{value}); }
  void bind_nothing(int place) const;

  /// Whether there is a (further) row.
  [[nodiscard]] bool next() const;
  /// Runs a statement that gives no rows.
  void run() const {
    while (next()) continue;
  }

  [[nodiscard]] int columns() const { return sqlite3_column_count(statement_.get()); }
  [[nodiscard]] std::string text(int column) const;
  [[nodiscard]] double number(int column) const {
    return sqlite3_column_double(statement_.get(), column);
  }
  [[nodiscard]] std::int64_t whole(int column) const {
    return sqlite3_column_int64(statement_.get(), column);
  }
  [[nodiscard]] bool is_nothing(int column) const {
    return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
  }

 private:
  std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> statement_;
  sqlite3* db_;
};

/// Undone unless it was committed.
class Transaction {
 public:
  explicit Transaction(const Database& db);
  ~Transaction();
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit();

 private:
  const Database& db_;
  bool open_ = true;
};

}  // namespace kinetics::sqlite
