#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "libkinetics/core/weekday.h"

/// One table of a roster, read key by key with units and ranges. Every complaint names file, line
/// and mend. Internal to the room.

namespace kinetics::roster_detail {

struct NumberRange {
  double least = 0.0;
  double greatest = 0.0;
};

/// Reads a table; finish() then refuses every key that nobody asked for.
class TomlTable {
 public:
  /// `title` is what the table is called in the file, "[[lifter.lift]]".
  TomlTable(const toml::table& table, std::string file, std::string title);

  [[nodiscard]] std::optional<std::string> text(const std::string& key);
  [[nodiscard]] std::string needed_text(const std::string& key);
  [[nodiscard]] std::optional<double> number(const std::string& key, NumberRange range);
  [[nodiscard]] std::optional<int> whole(const std::string& key, int least, int greatest);
  [[nodiscard]] std::optional<bool> truth(const std::string& key);
  /// A day, in quotes ("2031-03-07") or as TOML's own local date (2031-03-07).
  [[nodiscard]] std::optional<CalendarDay> day(const std::string& key);
  [[nodiscard]] std::vector<std::string> texts(const std::string& key);
  [[nodiscard]] bool has(const std::string& key) const { return table_->contains(key); }
  [[nodiscard]] std::vector<double> numbers(const std::string& key, NumberRange range);

  /// A quantity under the one of its keys that is there: "mass_kg" or "mass_lb" for "mass". The
  /// range is in SI.
  [[nodiscard]] std::optional<double> mass_kg(const std::string& stem, NumberRange range_kg);
  [[nodiscard]] double needed_mass_kg(const std::string& stem, NumberRange range_kg);
  [[nodiscard]] std::optional<double> length_m(const std::string& stem, NumberRange range_m);
  [[nodiscard]] std::optional<double> linear_density_kg_per_m(const std::string& stem,
                                                              NumberRange range);
  [[nodiscard]] std::vector<double> lengths_m(const std::string& stem, NumberRange range_m);
  [[nodiscard]] std::optional<double> force_n(const std::string& stem, NumberRange range_n);
  [[nodiscard]] std::vector<double> forces_n(const std::string& stem, NumberRange range_n);

  /// The tables of an array of tables; empty when there is none.
  [[nodiscard]] std::vector<TomlTable> tables(const std::string& key, const std::string& title);
  [[nodiscard]] std::optional<TomlTable> one_table(const std::string& key,
                                                   const std::string& title);

  /// Refuses the keys that were not asked for.
  void finish() const;

  [[nodiscard]] int line() const { return line_; }
  /// Complains about a key of this table, or about the table itself when the key is not there.
  [[noreturn]] void refuse(const std::string& key, std::string what, std::string mend) const;

 private:
  struct Unit {
    std::string_view suffix;
    double si = 1.0;
  };
  struct Found {
    std::string key;
    double si = 1.0;
  };

  [[nodiscard]] const toml::node* find(const std::string& key);
  [[nodiscard]] std::optional<Found> find_unit(const std::string& stem,
                                               const std::vector<Unit>& units);
  [[nodiscard]] std::optional<double> quantity(const std::string& stem,
                                               const std::vector<Unit>& units,
                                               NumberRange range_si);
  [[nodiscard]] std::vector<double> quantities(const std::string& stem,
                                               const std::vector<Unit>& units,
                                               NumberRange range_si);
  [[nodiscard]] double checked(const std::string& key,
                               const toml::node& node,
                               NumberRange range,
                               double si) const;
  static const std::vector<Unit>& mass_units();
  static const std::vector<Unit>& force_units();
  static const std::vector<Unit>& length_units();

  const toml::table* table_;
  std::string file_;
  std::string title_;
  int line_ = 0;
  std::vector<std::string> asked_;
};

}  // namespace kinetics::roster_detail
