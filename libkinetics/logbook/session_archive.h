#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/hdf5_node.h"
#include "libkinetics/logbook/session_schema.h"

/// The two archives of session_schema.h: one writes a group, one reads it. Private to the logbook.

namespace kinetics {

// HDF5 keeps whole numbers and truth values as 64-bit integers, everything else as double.
template <typename T>
using Stored = std::conditional_t<std::is_floating_point_v<T>, double, std::int64_t>;

class SessionWriter {
 public:
  explicit SessionWriter(const hdf5::GroupWriter& group) : group_(group) {}

  void attribute(const char* name, const std::string& value) const {
    group_.attribute(name, value);
  }
  template <typename T>
  void attribute(const char* name, const T& value) const {
    group_.attribute(name, static_cast<Stored<T>>(value));
  }
  template <typename T>
  void added_attribute(const char* name, const T& value) const {
    attribute(name, value);
  }
  template <typename T>
  void optional(const char* name, const std::optional<T>& value) const {
    if (value) attribute(name, *value);
  }
  void optional_zone(const std::optional<VelocityBand>& zone) const {
    if (!zone) return;
    group_.attribute("zone_lowest_mps", zone->lowest_mps);
    group_.attribute("zone_highest_mps", zone->highest_mps);
  }
  void optional_seed(const std::optional<DiscSeed>& seed) const {
    if (!seed) return;
    group_.attribute("seed_x_px", seed->at.x_px);
    group_.attribute("seed_y_px", seed->at.y_px);
    group_.attribute("seed_t_s", seed->t_s);
  }
  template <typename Enum, typename Words>
  void choice(const char* name, Enum value, const Words& words) const {
    group_.attribute(name, word_of(value, words));
  }
  template <typename Row, typename Field>
  void column(const char* name, const char* unit, const std::vector<Row>& rows, Field field) const {
    using T = std::remove_cvref_t<decltype(field(rows.front()))>;
    std::vector<Stored<T>> values;
    values.reserve(rows.size());
    for (const Row& row : rows) values.push_back(static_cast<Stored<T>>(field(row)));
    group_.column(name, unit, values);
  }
  template <typename Row, typename Field>
  void added_column(const char* name,
                    const char* unit,
                    const std::vector<Row>& rows,
                    Field field) const {
    column(name, unit, rows, field);
  }
  template <typename Row, typename Field, typename Words>
  void choices(const char* name,
               const std::vector<Row>& rows,
               Field field,
               const Words& words) const {
    std::vector<std::string> texts;
    texts.reserve(rows.size());
    for (const Row& row : rows) texts.push_back(word_of(field(row), words));
    group_.column(name, texts);
  }
  template <typename Row, typename Field>
  void texts(const char* name, const std::vector<Row>& rows, Field field) const {
    std::vector<std::string> texts;
    texts.reserve(rows.size());
    for (const Row& row : rows) texts.push_back(field(row));
    group_.column(name, texts);
  }
  void measured(const Quantity& quantity, const std::vector<Rep>& reps) const {
    std::vector<double> values;
    std::vector<double> sigmas;
    std::vector<std::string> reasons;
    for (const Rep& rep : reps) {
      const Measured& m = rep.*quantity.member;
      constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
      values.push_back(m.ok() ? m.value() : kNone);
      sigmas.push_back(m.ok() ? m.sigma() : kNone);
      reasons.emplace_back(m.ok() ? "" : in_words(m.reason()));
    }
    const std::string unit(quantity.unit);
    group_.column(name_of(quantity), unit, values);
    group_.column(name_of(quantity, "_sigma"), unit, sigmas);
    group_.column(std::string(quantity.stem) + "_not_measured", reasons);
  }
  void flags(const char* name, const std::vector<Rep>& reps) const {
    std::vector<std::string> texts;
    for (const Rep& rep : reps) {
      std::string text;
      for (const FlagKind flag : rep.flags) {
        if (!text.empty()) text += ' ';
        text += in_words(flag);
      }
      texts.push_back(text);
    }
    group_.column(name, texts);
  }

 private:
  template <typename Enum, typename Words>
  static std::string word_of(Enum value, const Words& words) {
    for (const auto& entry : words) {
      if (entry.value == value) return std::string(entry.word);
    }
    KINETICS_ASSERT(!"an enumerator has no word in the schema");
    return {};
  }

  const hdf5::GroupWriter& group_;
};

class SessionReader {
 public:
  explicit SessionReader(const hdf5::GroupReader& group) : group_(group) {}

  void attribute(const char* name, std::string& value) const { group_.attribute(name, value); }
  template <typename T>
  void attribute(const char* name, T& value) const {
    Stored<T> stored{};
    group_.attribute(name, stored);
    value = narrowed<T>(name, stored);
  }
  template <typename T>
  void added_attribute(const char* name, T& value) const {
    if (group_.has_attribute(name)) attribute(name, value);
  }
  template <typename T>
  void optional(const char* name, std::optional<T>& value) const {
    if (group_.has_attribute(name)) attribute(name, value.emplace());
  }
  void optional_zone(std::optional<VelocityBand>& zone) const {
    if (!group_.has_attribute("zone_lowest_mps")) return;
    zone.emplace();
    attribute("zone_lowest_mps", zone->lowest_mps);
    attribute("zone_highest_mps", zone->highest_mps);
  }
  void optional_seed(std::optional<DiscSeed>& seed) const {
    if (!group_.has_attribute("seed_x_px")) return;
    seed.emplace();
    attribute("seed_x_px", seed->at.x_px);
    attribute("seed_y_px", seed->at.y_px);
    attribute("seed_t_s", seed->t_s);
  }
  template <typename Enum, typename Words>
  void choice(const char* name, Enum& value, const Words& words) const {
    std::string text;
    group_.attribute(name, text);
    value = value_of(name, text, words);
  }
  template <typename Row, typename Field>
  void column(const char* name, const char* /*unit*/, std::vector<Row>& rows, Field field) {
    using T = std::remove_cvref_t<decltype(field(rows.front()))>;
    std::vector<Stored<T>> values;
    group_.column(name, values);
    fit(name, rows, values.size());
    for (std::size_t i = 0; i < rows.size(); ++i) field(rows[i]) = narrowed<T>(name, values[i]);
  }
  template <typename Row, typename Field>
  void added_column(const char* name, const char* unit, std::vector<Row>& rows, Field field) {
    if (group_.has_column(name)) column(name, unit, rows, field);
  }
  template <typename Row, typename Field, typename Words>
  void choices(const char* name, std::vector<Row>& rows, Field field, const Words& words) {
    const std::vector<std::string> texts = text_column(name, rows);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      field(rows[i]) = value_of(name, texts[i], words);
    }
  }
  template <typename Row, typename Field>
  void texts(const char* name, std::vector<Row>& rows, Field field) {
    const std::vector<std::string> texts = text_column(name, rows);
    for (std::size_t i = 0; i < rows.size(); ++i) field(rows[i]) = texts[i];
  }
  void measured(const Quantity& quantity, std::vector<Rep>& reps) {
    const std::string name = name_of(quantity);
    std::vector<double> values;
    std::vector<double> sigmas;
    // Files written before the quantity was measured do not have it.
    if (schema::was_added(quantity) && !group_.has_column(name)) return;
    group_.column(name, values);
    group_.column(name_of(quantity, "_sigma"), sigmas);
    const std::vector<std::string> reasons =
        text_column(std::string(quantity.stem) + "_not_measured", reps);
    fit(name, reps, values.size());
    fit(name, reps, sigmas.size());
    for (std::size_t i = 0; i < reps.size(); ++i) {
      if (!reasons[i].empty()) {
        reps[i].*quantity.member =
            Measured(value_of(name, reasons[i], schema::with_words(schema::kReasons)));
        continue;
      }
      reps[i].*quantity.member =
          Measured(narrowed<double>(name, values[i]), narrowed<double>(name, sigmas[i]));
    }
  }
  void flags(const char* name, std::vector<Rep>& reps) {
    const std::vector<std::string> texts = text_column(name, reps);
    const auto words = schema::with_words(schema::kFlagKinds);
    for (std::size_t i = 0; i < reps.size(); ++i) {
      for (std::size_t from = 0; from < texts[i].size();) {
        const std::size_t to = std::min(texts[i].find(' ', from), texts[i].size());
        reps[i].flags.push_back(value_of(name, texts[i].substr(from, to - from), words));
        from = to + 1;
      }
    }
  }

 private:
  template <typename Row>
  void fit(const std::string& name, std::vector<Row>& rows, std::size_t count) {
    if (!fitted_) rows.resize(count);
    fitted_ = true;
    if (rows.size() != count) group_.damaged(name, "has another length than its neighbours");
  }
  template <typename Row>
  std::vector<std::string> text_column(const std::string& name, std::vector<Row>& rows) {
    std::vector<std::string> texts;
    group_.column(name, texts);
    fit(name, rows, texts.size());
    return texts;
  }
  /// Nothing but finite numbers and whole numbers that fit may cross into the library.
  template <typename T>
  [[nodiscard]] T narrowed(const std::string& name, Stored<T> stored) const {
    if constexpr (std::is_floating_point_v<T>) {
      if (!std::isfinite(stored)) group_.damaged(name, "holds something that is not a number");
      return stored;
    } else {
      const T value = static_cast<T>(stored);
      if (static_cast<std::int64_t>(value) != stored) group_.damaged(name, "is out of range");
      return value;
    }
  }
  template <typename Words>
  [[nodiscard]] typename Words::value_type::Value value_of(const std::string& name,
                                                           const std::string& text,
                                                           const Words& words) const {
    for (const auto& entry : words) {
      if (entry.word == text) return entry.value;
    }
    group_.damaged(name, fmt::format("holds the unknown word '{}'", text));
  }

  const hdf5::GroupReader& group_;
  bool fitted_ = false;  ///< a column has been read, so that the number of rows is known
};

}  // namespace kinetics
