#include "libkinetics/sensor/choose_columns.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/cells.h"
#include "libkinetics/sensor/time_column.h"

namespace kinetics::sensor_detail {
namespace {

constexpr std::string_view kNameThem =
    "Say what each column is with --columns, for example --columns t,ax,ay,az,gx,gy,gz "
    "('-' skips one)";

// Three axes that belong together by their names.
struct Group {
  Kind kind = Kind::kUnknown;
  std::string stem;
  std::array<std::optional<std::size_t>, 3> axes;
  bool terse = false;
  Unit unit;

  [[nodiscard]] bool whole() const { return axes[0] && axes[1] && axes[2]; }
  [[nodiscard]] Triple triple() const { return {*axes[0], *axes[1], *axes[2]}; }
};

std::vector<Group> groups_of(const std::vector<Meaning>& meanings, const HeadTable& table) {
  std::vector<Group> groups;
  for (std::size_t i = 0; i < meanings.size(); ++i) {
    const Meaning& m = meanings[i];
    const bool vector = m.kind == Kind::kAxis || m.kind == Kind::kAcceleration ||
                        m.kind == Kind::kLinearAcceleration || m.kind == Kind::kGravity ||
                        m.kind == Kind::kRotationRate;
    if (!vector || m.axis < 0 || !table.columns[i].has_numbers()) continue;
    const auto axis = static_cast<std::size_t>(m.axis);
    auto group = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return g.kind == m.kind && g.stem == m.stem && !g.axes[axis];
    });
    if (group == groups.end()) {
      groups.push_back({m.kind, m.stem, {}, m.terse, m.unit});
      group = groups.end() - 1;
    }
    group->axes[axis] = i;
  }
  return groups;
}

const Group* first_whole(const std::vector<Group>& groups, Kind kind, std::size_t skip = 0) {
  for (const Group& group : groups) {
    if (group.kind == kind && group.whole() && skip-- == 0) return &group;
  }
  return nullptr;
}

// How unlike gravity a vector is when quiet: its length against the nearest of 1 g in g, m/s² and
// mg, and how much that length varies. Infinite when it is surely something else.
double unlike_gravity(const HeadTable& table, const Triple& triple) {
  const Rest rest = rest_of(table, triple, 0.01);
  double off = INFINITY;
  for (const double one_g : {1.0, kStandardGravity, 1000.0}) {
    off = std::min(off, std::abs(rest.magnitude / one_g - 1.0));
  }
  return off < 0.25 && rest.spread < 0.1 ? off + rest.spread : INFINITY;
}

bool feels_gravity(const HeadTable& table, const Triple& triple) {
  return std::isfinite(unlike_gravity(table, triple));
}

bool counts_rows(const HeadColumn& column) {
  if (!column.numeric() || !column.whole_numbers || column.stamps > 0) return false;
  double previous = std::nan("");
  for (const double value : column.values) {
    if (std::isfinite(previous) && value - previous != 1.0) return false;
    previous = value;
  }
  return true;
}

bool mostly_grows(const HeadColumn& column) {
  std::size_t back = 0;
  for (std::size_t i = 1; i < column.values.size(); ++i) {
    if (column.values[i] < column.values[i - 1]) ++back;
  }
  return back * 50 < column.values.size();
}

bool is_constant(const HeadColumn& column) {
  return std::adjacent_find(column.values.begin(), column.values.end(), [](double a, double b) {
           return a != b;
         }) == column.values.end();
}

// Without words: the three columns that are as long as
// gravity when quiet are the acceleration.
void choose_by_numbers(Columns& chosen,
                       const HeadTable& table,
                       const std::vector<Meaning>& meanings,
                       Wanted wanted) {
  std::vector<std::size_t> open;
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const Kind kind = meanings[i].kind;
    if (kind != Kind::kUnknown && kind != Kind::kAxis) continue;
    const HeadColumn& column = table.columns[i];
    if (!column.numeric()) continue;
    if (counts_rows(column) && table.rows > 2) {
      if (!chosen.index) chosen.index = i;
    } else if (column.stamps == 0 && !is_constant(column) &&
               std::find(chosen.times.begin(), chosen.times.end(), i) == chosen.times.end()) {
      open.push_back(i);
    }
  }
  if (wanted == Wanted::kRotationRate) {
    if (open.size() >= 3) chosen.gyro = Triple{open[0], open[1], open[2]};
    return;
  }
  // Quiet rotation rates with an offset can be as long as gravity: the likest of all is taken.
  double least = INFINITY;
  std::size_t at = 0;
  for (std::size_t i = 0; i + 2 < open.size(); ++i) {
    const double unlike = unlike_gravity(table, {open[i], open[i + 1], open[i + 2]});
    if (unlike >= least) continue;
    least = unlike;
    at = i;
  }
  if (std::isfinite(least)) {
    chosen.accel = Triple{open[at], open[at + 1], open[at + 2]};
    if (at + 5 < open.size()) {
      chosen.gyro = Triple{open[at + 3], open[at + 4], open[at + 5]};
    } else if (at >= 3) {
      chosen.gyro = Triple{open[at - 3], open[at - 2], open[at - 1]};
    }
  }
  if (!chosen.accel && (open.size() == 3 || open.size() == 6 || open.size() == 9)) {
    chosen.accel = Triple{open[0], open[1], open[2]};
    if (open.size() > 3) chosen.gyro = Triple{open[3], open[4], open[5]};
  }
  if (!chosen.accel && (open.size() == 1 || open.size() == 2)) chosen.height = open[0];
}

void choose_height(Columns& chosen, const HeadTable& table, const std::vector<Meaning>& meanings) {
  double widest = -1.0;
  for (std::size_t i = 0; i < meanings.size(); ++i) {
    if (meanings[i].kind != Kind::kHeight || !table.columns[i].has_numbers()) continue;
    double least = INFINITY;
    double most = -INFINITY;
    for (const double value : table.columns[i].values) {
      if (!std::isfinite(value)) continue;
      least = std::min(least, value);
      most = std::max(most, value);
    }
    // Of several, the one that moves: a bar hardly leaves its vertical.
    if (most - least > widest) {
      widest = most - least;
      chosen.height = i;
      chosen.height_unit = meanings[i].unit;
    }
  }
}

std::string names_of(const Dialect& dialect) {
  std::string names;
  for (const std::string& name : dialect.header) {
    if (names.size() > 200) return names + ", …";
    names += (names.empty() ? "" : ", ") + fmt::format("'{}'", name);
  }
  return names;
}

// Bare x, y, z twice over, or "gx, gy, gz" alone: the names leave it open.
void settle_short_names(Columns& chosen, const std::vector<Group>& groups, const HeadTable& table) {
  const Group* const bare = first_whole(groups, Kind::kAxis);
  const Group* const second = first_whole(groups, Kind::kAxis, 1);
  if (!chosen.accel && bare != nullptr) {
    chosen.accel = bare->triple();
    chosen.accel_unit = bare->unit;
    if (!chosen.gyro && second != nullptr) {
      chosen.gyro = second->triple();
      chosen.notes.push_back(
          {NoteKind::kCaution,
           "The header names x, y and z more than once: the first three are taken as "
           "acceleration and the next as rotation rate. Overrule with --columns."});
    }
  }
  const Group* const terse = first_whole(groups, Kind::kRotationRate);
  if (!chosen.accel && terse != nullptr && terse->terse && feels_gravity(table, terse->triple())) {
    chosen.accel = terse->triple();
    chosen.gyro.reset();
    chosen.notes.push_back({NoteKind::kCaution,
                            "Columns gx, gy and gz feel gravity: they are read as acceleration. "
                            "Overrule with --columns."});
  }
}

}  // namespace

Columns given_columns(const std::string& text,
                      const std::vector<Meaning>& meanings,
                      Wanted wanted) {
  const auto fail = [&](std::string_view what) {
    throw Error(ErrorCode::kUsage, "--columns " + text, std::string(what), std::string(kNameThem));
  };
  Columns chosen;
  chosen.given = true;
  std::array<std::optional<std::size_t>, 3> accel;
  std::array<std::optional<std::size_t>, 3> gyro;
  std::size_t column = 0;
  for (const std::string_view cell :
       cells_of(text, text.find(';') == std::string::npos ? ',' : ';')) {
    std::string token;
    for (const char c : cell)
      token += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    if (column >= meanings.size()) {
      fail(fmt::format("more columns are named than the log has ({})", meanings.size()));
    }
    const auto once = [&](std::optional<std::size_t>& slot) {
      if (slot) fail(fmt::format("'{}' is named twice", token));
      slot = column;
    };
    const bool vector = token.size() == 2 && (token[0] == 'a' || token[0] == 'g') &&
                        token[1] >= 'x' && token[1] <= 'z';
    if (vector) {
      const auto axis = static_cast<std::size_t>(token[1] - 'x');
      once(token[0] == 'a' ? accel[axis] : gyro[axis]);
      if (meanings[column].unit.of == UnitOf::kAcceleration && token[0] == 'a') {
        chosen.accel_unit = meanings[column].unit;
      }
      if (meanings[column].unit.of == UnitOf::kRotationRate && token[0] == 'g') {
        chosen.gyro_unit = meanings[column].unit;
      }
    } else if (token == "t") {
      if (!chosen.times.empty()) fail("'t' is named twice");
      chosen.times.push_back(column);
    } else if (token == "h") {
      once(chosen.height);
      if (meanings[column].unit.of == UnitOf::kLength) chosen.height_unit = meanings[column].unit;
    } else if (token != "-" && !token.empty()) {
      fail(fmt::format("'{}' is none of t, ax, ay, az, gx, gy, gz, h and -", token));
    }
    ++column;
  }
  const auto whole = [&](const auto& axes, std::string_view name) -> std::optional<Triple> {
    const int named =
        int(axes[0].has_value()) + int(axes[1].has_value()) + int(axes[2].has_value());
    if (named == 0) return std::nullopt;
    if (named < 3) fail(fmt::format("{} needs all three axes", name));
    return Triple{*axes[0], *axes[1], *axes[2]};
  };
  chosen.accel = whole(accel, "acceleration");
  chosen.gyro = whole(gyro, "rotation rate");
  if (wanted == Wanted::kRotationRate) {
    if (!chosen.gyro) fail("the gyroscope's file needs gx, gy and gz");
  } else if (chosen.accel.has_value() == chosen.height.has_value()) {
    fail("name either ax, ay and az, or h");
  }
  return chosen;
}

Columns choose_columns(const Dialect& dialect,
                       const HeadTable& table,
                       const std::vector<Meaning>& meanings,
                       Wanted wanted,
                       const std::string& where) {
  Columns chosen;
  for (std::size_t i = 0; i < meanings.size(); ++i) {
    const HeadColumn& column = table.columns[i];
    const Kind kind = meanings[i].kind;
    if (kind == Kind::kTime && column.has_numbers()) chosen.times.push_back(i);
    if (kind == Kind::kDate && column.has_numbers() && !chosen.date) chosen.date = i;
    if (kind == Kind::kIndex && column.has_numbers() && !chosen.index) chosen.index = i;
  }
  // A clock by another name ("received"): what grows at the pace of a logger is one.
  for (std::size_t i = 0; i < meanings.size() && chosen.times.empty(); ++i) {
    const HeadColumn& column = table.columns[i];
    if (meanings[i].kind == Kind::kUnknown && !counts_rows(column) && column.numeric() &&
        mostly_grows(column) && survey_times(column, {})) {
      chosen.times.push_back(i);
    }
  }
  const std::vector<Group> groups = groups_of(meanings, table);
  if (const Group* gyro = first_whole(groups, Kind::kRotationRate)) {
    chosen.gyro = gyro->triple();
    chosen.gyro_unit = gyro->unit;
  }
  if (wanted == Wanted::kRotationRate) {
    const Group* const bare = first_whole(groups, Kind::kAxis);
    if (!chosen.gyro && bare != nullptr) chosen.gyro = bare->triple();
    if (!chosen.gyro) choose_by_numbers(chosen, table, meanings, wanted);
    if (chosen.gyro) return chosen;
    throw Error(ErrorCode::kUnreadable,
                where,
                "no rotation rate on three axes was found",
                "Name the columns of this file, for example t,gx,gy,gz");
  }

  if (const Group* accel = first_whole(groups, Kind::kAcceleration)) {
    chosen.accel = accel->triple();
    chosen.accel_unit = accel->unit;
  }
  settle_short_names(chosen, groups, table);
  if (!chosen.accel) {
    if (const Group* linear = first_whole(groups, Kind::kLinearAcceleration)) {
      chosen.accel = linear->triple();
      chosen.accel_unit = linear->unit;
      chosen.linear = true;
      if (const Group* gravity = first_whole(groups, Kind::kGravity)) {
        chosen.gravity = gravity->triple();
        chosen.linear = false;
      }
    }
  }
  if (!chosen.accel) choose_height(chosen, table, meanings);
  if (chosen.accel || chosen.height) return chosen;

  const bool headed = !dialect.header.empty();
  const std::optional<Triple> named_gyro = chosen.gyro;
  choose_by_numbers(chosen, table, meanings, wanted);
  if (named_gyro) {
    chosen.gyro = named_gyro;
    chosen.height.reset();
  }
  if (chosen.accel || chosen.height) {
    chosen.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("{}: the columns were told apart by their numbers. Overrule with --columns, "
                     "for example --columns t,ax,ay,az,gx,gy,gz.",
                     headed ? "The header's names are not known here" : "There is no header")});
    return chosen;
  }
  if (named_gyro) {
    throw Error(ErrorCode::kUnreadable,
                where,
                "this file holds rotation rates and no acceleration",
                "Give the file of accelerations as the log, and this one as the gyroscope's");
  }
  throw Error(ErrorCode::kUnreadable,
              where,
              headed
                  ? fmt::format("neither acceleration on three axes nor a height was found among "
                                "the columns {}",
                                names_of(dialect))
                  : fmt::format("there is no header, and which of the {} columns is what cannot "
                                "be told from the numbers",
                                dialect.columns),
              std::string(kNameThem));
}

}  // namespace kinetics::sensor_detail
