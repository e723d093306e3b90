#include "libkinetics/sensor/log_plan.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/cells.h"
#include "libkinetics/sensor/choose_time.h"
#include "libkinetics/sensor/column_meaning.h"
#include "libkinetics/sensor/stamp_text.h"

namespace kinetics::sensor_detail {
namespace {

[[noreturn]] void refuse(const std::string& where,
                         const std::string& what,
                         const std::string& mend) {
  throw Error(ErrorCode::kUnreadable, where, what, mend);
}

// The name of a column as the user knows it.
std::string called(const Dialect& dialect, std::size_t column) {
  if (column < dialect.header.size() && !dialect.header[column].empty()) {
    return fmt::format("'{}'", dialect.header[column]);
  }
  return fmt::format("column {}", column + 1);
}

std::string called(const Dialect& dialect, const Triple& triple) {
  return fmt::format("{}, {}, {}",
                     called(dialect, triple[0]),
                     called(dialect, triple[1]),
                     called(dialect, triple[2]));
}

// A column of words that say which sensor a row is of: "acc", "gyro".
std::optional<RowFilter> rows_labelled(const HeadTable& table, Kind kind) {
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const HeadColumn& column = table.columns[i];
    if (column.texts * 10 < table.rows * 9 || column.labels.size() < 2) continue;
    for (const std::string& label : column.labels) {
      const Kind labelled = meaning_of(label + " x").kind;
      if (labelled == kind) return RowFilter{.label_column = i, .label = label, .present = {}};
    }
  }
  return std::nullopt;
}

// Acceleration and rotation rate are often not in one row.
bool in_rows_of_their_own(const HeadTable& table, const Columns& columns) {
  if (!columns.accel || !columns.gyro) return false;
  std::size_t both = 0;
  std::size_t one = 0;
  for (std::size_t i = 0; i < table.rows; ++i) {
    const bool accel = std::isfinite(table.columns[(*columns.accel)[0]].values[i]);
    const bool gyro = std::isfinite(table.columns[(*columns.gyro)[0]].values[i]);
    if (accel && gyro) ++both;
    if (accel != gyro) ++one;
  }
  return one * 5 > both;  // a gyroscope at half the rate, too
}

std::string said_of_time(const Dialect& dialect, const ChosenTime& chosen, const HeadTable& table) {
  const TimeColumn& time = chosen.time;
  std::string text = fmt::format("time from {}", called(dialect, chosen.column));
  if (chosen.fraction) text += " and " + called(dialect, *chosen.fraction);
  if (time.written) {
    text += time.wall_clock ? " (date and clock" : " (clock readings";
    if (time.wall_clock && !table.columns[chosen.column].stamps_have_zone) {
      text += ", no time zone stated: taken as UTC";
    }
    return text + ")";
  }
  return text + fmt::format(" ({}{})",
                            time.unit.name,
                            time.unit_from_header ? "" : ", because of its pace");
}

void note(LogPlan& plan, NoteKind kind, std::string text) {
  plan.notes.push_back({kind, std::move(text)});
}

// Without a clock the rows need a rate. Returns what to say of it.
std::string settle_rate(LogPlan& plan, const Columns& columns, const LogOptions& options) {
  const std::optional<double> rate =
      options.rate_hz ? options.rate_hz : plan.dialect.stated_rate_hz;
  if (!rate) {
    std::string what = "no column of times was found";
    if (!columns.times.empty()) {
      what = fmt::format(
          "{} cannot be the time of these rows: it does not grow, or makes fewer "
          "than 3 or more than 2500 rows a second in any unit",
          called(plan.dialect, columns.times.front()));
    } else if (columns.index) {
      what = fmt::format("{} only counts the rows, and how many there are in a second is not said",
                         called(plan.dialect, *columns.index));
    }
    refuse(fmt::format("{}:{}", plan.file, plan.dialect.first_row + 1),
           what,
           "State the rate with --rate, for example --rate 100, or name the column of times with "
           "--columns and its unit with --units");
  }
  plan.step_s = 1.0 / *rate;
  if (options.rate_hz) return fmt::format("{:g} even rows a second, as given", *rate);
  // Without any column of times that is how the log is meant; with one, something is wrong with it.
  note(plan,
       columns.times.empty() ? NoteKind::kDecision : NoteKind::kCaution,
       fmt::format("There is no usable column of times; the file states {:g} rows a second. "
                   "Overrule with --rate.",
                   *rate));
  return fmt::format("{:g} even rows a second, as the file states", *rate);
}

std::string settle_time(LogPlan& plan,
                        const HeadTable& table,
                        const Columns& columns,
                        const std::vector<Meaning>& meanings,
                        const LogOptions& options,
                        const Unit& given) {
  const std::optional<ChosenTime> chosen = choose_time(table, columns, meanings, given);
  plan.started_unix_s = started_unix_s(table, columns, meanings, chosen);
  if (options.rate_hz || !chosen) return settle_rate(plan, columns, options);
  const TimeColumn& time = chosen->time;
  plan.time = time;
  plan.step_s = time.step_s;
  plan.column_of[kTimeSlot] = chosen->column;
  plan.column_of[kFractionSlot] = chosen->fraction;
  plan.fraction_to_s = chosen->fraction_to_s;
  plan.origin = first_number(table.columns[chosen->column]);
  plan.origin_s = plan.origin * time.to_s;
  if (time.unit_contradicts_header) {
    note(plan,
         NoteKind::kCaution,
         fmt::format("The header says {} for {}, which would make an impossible rate; it is read "
                     "as {}. Overrule with --units time=….",
                     meanings[chosen->column].unit.name,
                     called(plan.dialect, chosen->column),
                     time.unit.name));
  }
  if (time.coarse) {
    note(plan,
         NoteKind::kDecision,
         fmt::format("Stamps come {:.3g} s apart for rows {:.3g} s apart: the rows are laid out "
                     "evenly between them. Overrule with --rate.",
                     time.group_s,
                     time.step_s));
  }
  return said_of_time(plan.dialect, *chosen, table);
}

void put(LogPlan& plan, Slot first, const Triple& triple) {
  for (std::size_t axis = 0; axis < 3; ++axis) plan.column_of[first + axis] = triple[axis];
}

void keep(LogPlan& plan, Notes notes) {
  for (Note& each : notes) plan.notes.push_back(std::move(each));
}

std::string settle_acceleration(LogPlan& plan,
                                const HeadTable& table,
                                const Columns& columns,
                                const GivenUnits& given) {
  const Triple* const gravity = columns.gravity ? &*columns.gravity : nullptr;
  const Rest rest = rest_of(table, *columns.accel, plan.step_s, gravity);
  const Unit& header = columns.accel_unit;
  Decision unit = decide_acceleration(rest, given.acceleration, header);
  if (!unit.usable) {
    refuse(fmt::format("{}:{}", plan.file, plan.dialect.first_row + 1),
           fmt::format("the acceleration ({}) is {:.3g} at rest: gravity has been taken out, or "
                       "this is not acceleration; without gravity the vertical is not known",
                       called(plan.dialect, *columns.accel),
                       rest.magnitude),
           "Log the raw acceleration, with gravity in it");
  }
  if (columns.linear) {
    note(plan,
         NoteKind::kCaution,
         "The header says that gravity is taken out of the acceleration, but it is there at rest.");
  }
  plan.main_to_si = unit.to_si;
  plan.main_in_counts = unit.counts;
  put(plan, kMainSlot, *columns.accel);
  if (gravity != nullptr) put(plan, kGravitySlot, *gravity);
  keep(plan, std::move(unit.notes));
  return fmt::format(
      "acceleration from {}{} ({})",
      called(plan.dialect, *columns.accel),
      gravity != nullptr ? " and gravity from " + called(plan.dialect, *gravity) : "",
      unit.says);
}

std::string settle_rotation(LogPlan& plan,
                            const HeadTable& table,
                            const Columns& columns,
                            const GivenUnits& given,
                            bool main) {
  const Triple* const accel = main || plan.gyroscope_rows ? nullptr : &*columns.accel;
  Decision unit = decide_rotation(table,
                                  *columns.gyro,
                                  accel,
                                  plan.step_s,
                                  given.rotation_rate,
                                  columns.gyro_unit,
                                  plan.main_in_counts);
  keep(plan, std::move(unit.notes));
  if (!unit.usable) {
    if (main) {
      refuse(plan.file, "the rotation rate cannot be used", "State its unit with --units gyro=…");
    }
    return "rotation rate left out";
  }
  (main ? plan.main_to_si : plan.gyro_to_si) = unit.to_si;
  put(plan, main ? kMainSlot : kGyroSlot, *columns.gyro);
  plan.has_gyroscope = true;
  return fmt::format("rotation rate from {} ({})", called(plan.dialect, *columns.gyro), unit.says);
}

std::string left_aside(const LogPlan& plan, const Columns& columns) {
  std::string names;
  for (std::size_t i = 0; i < plan.dialect.header.size() && i < plan.dialect.columns; ++i) {
    const bool used =
        std::find(plan.column_of.begin(), plan.column_of.end(), i) != plan.column_of.end() ||
        columns.date == i || plan.filter.label_column == i || plan.dialect.header[i].empty();
    const bool in_other_rows =
        plan.gyroscope_rows && columns.gyro &&
        std::find(columns.gyro->begin(), columns.gyro->end(), i) != columns.gyro->end();
    if (used || in_other_rows) continue;
    if (names.size() > 200) return names + ", …";
    names += (names.empty() ? "" : ", ") + called(plan.dialect, i);
  }
  return names;
}

void say_what_was_decided(LogPlan& plan,
                          const Columns& columns,
                          const std::vector<std::string>& parts,
                          bool in_full) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : "; ") + part;
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  text += ".";
  const std::string aside = in_full ? left_aside(plan, columns) : std::string();
  if (!aside.empty()) text += fmt::format(" Not used: {}.", aside);
  text += " Overrule with --columns, --units or --rate.";
  plan.notes.insert(plan.notes.begin(), {NoteKind::kDecision, std::move(text)});
}

}  // namespace

LogPlan plan_log(const LogText& text,
                 const LogOptions& options,
                 Wanted wanted,
                 const RowFilter* only) {
  const bool second = wanted == Wanted::kRotationRate;
  LogPlan plan;
  plan.file = text.name();
  plan.dialect = find_dialect(text.head(), plan.file);
  const GivenUnits given = given_units(options.units);
  const std::vector<Meaning> meanings = meanings_of(plan.dialect);
  if (only != nullptr) plan.filter = *only;
  HeadTable table = read_head(text.head(), plan.dialect, plan.filter);

  if (only == nullptr && !second) {
    const std::optional<RowFilter> gyro = rows_labelled(table, Kind::kRotationRate);
    if (const std::optional<RowFilter> accel = rows_labelled(table, Kind::kAcceleration)) {
      plan.filter = *accel;
      plan.gyroscope_rows = gyro;
      table = read_head(text.head(), plan.dialect, plan.filter);
    }
  }
  const std::string where = fmt::format("{}:{}", plan.file, plan.dialect.first_row + 1);
  const std::string& asked = second ? options.gyroscope_columns : options.columns;
  Columns columns = trimmed(asked).empty()
                        ? choose_columns(plan.dialect, table, meanings, wanted, where)
                        : given_columns(asked, meanings, wanted);
  if (!second && in_rows_of_their_own(table, columns)) {
    plan.gyroscope_rows = RowFilter{.label_column = {}, .label = {}, .present = {}};
    plan.gyroscope_rows->present.assign(columns.gyro->begin(), columns.gyro->end());
    plan.filter.present.assign(columns.accel->begin(), columns.accel->end());
    table = read_head(text.head(), plan.dialect, plan.filter);
  }
  keep(plan, std::exchange(columns.notes, {}));

  std::vector<std::string> parts;
  parts.push_back(settle_time(plan, table, columns, meanings, options, given.time));
  if (second) {
    plan.content = Content::kRotationRate;
    parts.push_back(settle_rotation(plan, table, columns, given, true));
  } else if (columns.accel) {
    parts.push_back(settle_acceleration(plan, table, columns, given));
    if (columns.gyro && !plan.gyroscope_rows && options.gyroscope_file.empty()) {
      parts.push_back(settle_rotation(plan, table, columns, given, false));
    }
  } else {
    plan.content = Content::kHeight;
    Decision unit =
        decide_height(table.columns[*columns.height], given.length, columns.height_unit);
    if (!unit.usable) refuse(where, "the column of heights is empty", "Log again");
    plan.column_of[kMainSlot] = columns.height;
    plan.main_to_si = unit.to_si;
    keep(plan, std::move(unit.notes));
    parts.push_back(
        fmt::format("height from {} ({})", called(plan.dialect, *columns.height), unit.says));
  }
  say_what_was_decided(plan, columns, parts, only == nullptr);
  if (text.bytes() > 0 && table.rows > 0) {
    const double bytes_a_row =
        static_cast<double>(table.head_bytes) / static_cast<double>(table.rows);
    plan.rows_expected = static_cast<std::size_t>(1.02 * static_cast<double>(text.bytes()) /
                                                  std::max(8.0, bytes_a_row));
  }
  return plan;
}

}  // namespace kinetics::sensor_detail
