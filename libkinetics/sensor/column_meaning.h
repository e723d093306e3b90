#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sensor/dialect.h"
#include "libkinetics/sensor/units.h"

/// What a column's name says it holds.

namespace kinetics::sensor_detail {

enum class Kind {
  kUnknown,
  kAxis,  ///< "x", "y-axis": an axis of something the name does not say
  kTime,
  kDate,
  kIndex,               ///< a count of rows or packets
  kAcceleration,        ///< with gravity in it
  kLinearAcceleration,  ///< with gravity taken out
  kGravity,
  kRotationRate,
  kHeight,
  kOther,  ///< known, and of no use here: magnetic field, velocity, temperature …
};

struct Meaning {
  Kind kind = Kind::kUnknown;
  int axis = -1;       ///< 0, 1, 2 for x, y, z
  Unit unit;           ///< where the name states one
  std::string stem;    ///< the name without axis and unit: columns of one sensor share it
  bool terse = false;  ///< "gx": too short to be sure
};

[[nodiscard]] Meaning meaning_of(std::string_view name);

/// One meaning for each of `dialect.columns`, from header, the row above it and the row of units.
[[nodiscard]] std::vector<Meaning> meanings_of(const Dialect& dialect);

}  // namespace kinetics::sensor_detail
