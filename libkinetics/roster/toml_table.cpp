#include "libkinetics/roster/toml_table.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/roster/names.h"

namespace kinetics::roster_detail {
namespace {

// One foot and one inch in metres, exactly (international yard and pound agreement, 1959).
constexpr double kMetresPerFoot = 0.3048;
constexpr double kMetresPerInch = 0.0254;

std::string kind_of(const toml::node& node) {
  if (node.is_string()) return "a text";
  if (node.is_number()) return "a number";
  if (node.is_boolean()) return "true or false";
  if (node.is_array()) return "a list";
  if (node.is_table()) return "a table";
  return "a date or time";
}

int line_of(const toml::node& node) {
  return static_cast<int>(node.source().begin.line);
}

}  // namespace

TomlTable::TomlTable(const toml::table& table, std::string file, std::string title)
    : table_(&table), file_(std::move(file)), title_(std::move(title)), line_(line_of(table)) {}

void TomlTable::refuse(const std::string& key, std::string what, std::string mend) const {
  const toml::node* node = table_->get(key);
  const int line = node != nullptr ? line_of(*node) : line_;
  throw Error(ErrorCode::kUnreadable,
              line > 0 ? fmt::format("{}:{}", file_, line) : file_,
              std::move(what),
              std::move(mend));
}

const toml::node* TomlTable::find(const std::string& key) {
  asked_.push_back(key);
  return table_->get(key);
}

std::optional<std::string> TomlTable::text(const std::string& key) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  auto value = node->value<std::string>();
  if (!node->is_string() || !value) {
    refuse(key,
           fmt::format("'{}' in {} is {}, not a text", key, title_, kind_of(*node)),
           "Put it in quotes");
  }
  if (folded(*value).empty()) {
    refuse(key, fmt::format("'{}' in {} is empty", key, title_), "Write it, or leave it out");
  }
  return value;
}

std::string TomlTable::needed_text(const std::string& key) {
  if (auto value = text(key)) return *value;
  refuse("", fmt::format("{} has no '{}'", title_, key), fmt::format("Add {} = \"...\"", key));
}

double TomlTable::checked(const std::string& key,
                          const toml::node& node,
                          NumberRange range,
                          double si) const {
  const auto value = node.value<double>();
  if (!node.is_number() || !value || !std::isfinite(*value)) {
    refuse(key,
           fmt::format("'{}' in {} is {}, not a number", key, title_, kind_of(node)),
           "Write a plain number with a decimal point; the unit stands in the key");
  }
  const double in_si = *value * si;
  if (in_si < range.least || in_si > range.greatest) {
    refuse(key,
           fmt::format("'{}' in {} is {:g}, which is out of range", key, title_, *value),
           fmt::format("Give {:.4g} to {:.4g}", range.least / si, range.greatest / si));
  }
  return in_si;
}

std::optional<double> TomlTable::number(const std::string& key, NumberRange range) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  return checked(key, *node, range, 1.0);
}

std::optional<int> TomlTable::whole(const std::string& key, int least, int greatest) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value<std::int64_t>();
  if (!node->is_integer() || !value || *value < least || *value > greatest) {
    refuse(key,
           fmt::format("'{}' in {} is no whole number that makes sense", key, title_),
           fmt::format("Give {} to {}", least, greatest));
  }
  return static_cast<int>(*value);
}

std::optional<bool> TomlTable::truth(const std::string& key) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  if (!node->is_boolean()) {
    refuse(key,
           fmt::format("'{}' in {} is {}", key, title_, kind_of(*node)),
           "Write true or false, without quotes");
  }
  return node->value<bool>();
}

std::optional<CalendarDay> TomlTable::day(const std::string& key) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  std::string written = node->value<std::string>().value_or("");
  if (const auto date = node->value<toml::date>(); date && node->is_date()) {
    written = fmt::format("{:04}-{:02}-{:02}", date->year, date->month, date->day);
  }
  const auto day = day_in(written);
  if (!day) {
    refuse(key,
           fmt::format("'{}' in {} is no day of the calendar", key, title_),
           "Write year, month and day: 2031-03-07");
  }
  return day;
}

std::vector<std::string> TomlTable::texts(const std::string& key) {
  std::vector<std::string> out;
  const toml::node* node = find(key);
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  const auto refuse_list = [&] {
    refuse(key,
           fmt::format("'{}' in {} is not a list of texts", key, title_),
           fmt::format("Write {} = [\"...\", \"...\"]", key));
  };
  if (array == nullptr) refuse_list();
  for (const toml::node& entry : *array) {
    const auto text = entry.value<std::string>();
    if (!entry.is_string() || !text || folded(*text).empty()) refuse_list();
    out.push_back(*text);
  }
  return out;
}

std::vector<double> TomlTable::numbers(const std::string& key, NumberRange range) {
  return quantities(key, {{"", 1.0}}, range);
}

std::optional<TomlTable::Found> TomlTable::find_unit(const std::string& stem,
                                                     const std::vector<Unit>& units) {
  std::optional<Found> found;
  for (const Unit& unit : units) {
    const std::string key = stem + std::string(unit.suffix);
    if (find(key) == nullptr) continue;
    if (found) {
      refuse(key,
             fmt::format("{} has both '{}' and '{}'", title_, found->key, key),
             "Leave one of them out");
    }
    found = Found{.key = key, .si = unit.si};
  }
  return found;
}

std::optional<double> TomlTable::quantity(const std::string& stem,
                                          const std::vector<Unit>& units,
                                          NumberRange range_si) {
  const auto found = find_unit(stem, units);
  if (!found) return std::nullopt;
  return checked(found->key, *table_->get(found->key), range_si, found->si);
}

std::vector<double> TomlTable::quantities(const std::string& stem,
                                          const std::vector<Unit>& units,
                                          NumberRange range_si) {
  std::vector<double> out;
  const auto found = find_unit(stem, units);
  if (!found) return out;
  const toml::array* array = table_->get(found->key)->as_array();
  if (array == nullptr) {
    refuse(found->key,
           fmt::format("'{}' in {} is not a list", found->key, title_),
           fmt::format("Write {} = [1, 2, 3]", found->key));
  }
  for (const toml::node& node : *array) {
    out.push_back(checked(found->key, node, range_si, found->si));
  }
  return out;
}

const std::vector<TomlTable::Unit>& TomlTable::mass_units() {
  static const std::vector<Unit> units{{"_kg", 1.0}, {"_lb", kKilogramsPerPound}};
  return units;
}

const std::vector<TomlTable::Unit>& TomlTable::length_units() {
  static const std::vector<Unit> units{
      {"_m", 1.0}, {"_cm", 0.01}, {"_mm", 0.001}, {"_in", kMetresPerInch}};
  return units;
}

const std::vector<TomlTable::Unit>& TomlTable::force_units() {
  static const std::vector<Unit> units{
      {"_n", 1.0}, {"_kg", kStandardGravity}, {"_lb", kKilogramsPerPound * kStandardGravity}};
  return units;
}

std::optional<double> TomlTable::mass_kg(const std::string& stem, NumberRange range_kg) {
  return quantity(stem, mass_units(), range_kg);
}

double TomlTable::needed_mass_kg(const std::string& stem, NumberRange range_kg) {
  if (const auto value = mass_kg(stem, range_kg)) return *value;
  const bool bare = table_->get(stem) != nullptr;
  refuse(bare ? stem : "",
         bare ? fmt::format("'{}' in {} has no unit", stem, title_)
              : fmt::format("{} has no '{}_kg'", title_, stem),
         fmt::format("Write {0}_kg = ... or {0}_lb = ...", stem));
}

std::optional<double> TomlTable::length_m(const std::string& stem, NumberRange range_m) {
  return quantity(stem, length_units(), range_m);
}

std::optional<double> TomlTable::linear_density_kg_per_m(const std::string& stem,
                                                         NumberRange range) {
  return quantity(
      stem, {{"_kg_per_m", 1.0}, {"_lb_per_ft", kKilogramsPerPound / kMetresPerFoot}}, range);
}

std::vector<double> TomlTable::lengths_m(const std::string& stem, NumberRange range_m) {
  return quantities(stem, length_units(), range_m);
}

std::optional<double> TomlTable::force_n(const std::string& stem, NumberRange range_n) {
  return quantity(stem, force_units(), range_n);
}

std::vector<double> TomlTable::forces_n(const std::string& stem, NumberRange range_n) {
  return quantities(stem, force_units(), range_n);
}

std::vector<TomlTable> TomlTable::tables(const std::string& key, const std::string& title) {
  std::vector<TomlTable> out;
  const toml::node* node = find(key);
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  const bool all_tables =
      array != nullptr && std::all_of(array->begin(), array->end(), [](const toml::node& entry) {
        return entry.is_table();
      });
  if (!all_tables) {
    refuse(key,
           fmt::format("'{}' in {} is not a list of entries", key, title_),
           fmt::format("Write each as {}", title));
  }
  for (const toml::node& entry : *array) out.emplace_back(*entry.as_table(), file_, title);
  return out;
}

std::optional<TomlTable> TomlTable::one_table(const std::string& key, const std::string& title) {
  const toml::node* node = find(key);
  if (node == nullptr) return std::nullopt;
  if (!node->is_table()) {
    refuse(key,
           fmt::format("'{}' is {}, not one group of keys", key, kind_of(*node)),
           fmt::format("Begin it with {}", title));
  }
  return TomlTable(*node->as_table(), file_, title);
}

void TomlTable::finish() const {
  for (const auto& [key, node] : *table_) {
    const std::string name(key.str());
    if (std::find(asked_.begin(), asked_.end(), name) != asked_.end()) continue;
    // "mass" for "mass_kg" is no slip of a letter: the unit is what is missing.
    std::vector<std::string> with_unit;
    for (const std::string& known : asked_) {
      if (known.starts_with(name + "_")) with_unit.push_back(known);
    }
    refuse(name,
           fmt::format("'{}' is not a key of {}", name, title_),
           with_unit.empty() ? meant_or_known(name, asked_, "Leave it out")
                             : fmt::format("Write the unit too: {}", fmt::join(with_unit, " or ")));
  }
}

}  // namespace kinetics::roster_detail
