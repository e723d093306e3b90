#include "libkinetics/sensor/column_meaning.h"

#include <algorithm>
#include <cctype>
#include <optional>
#include <utility>

namespace kinetics::sensor_detail {
namespace {

char low(char c) {
  return static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
}

bool is_letter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0;
}
bool is_upper(char c) {
  return std::isupper(static_cast<unsigned char>(c)) != 0;
}
bool is_digit(char c) {
  return std::isdigit(static_cast<unsigned char>(c)) != 0;
}

// "accelX_raw 2" → accel, x, raw, 2. Capitals begin a word, except in a run of them.
std::vector<std::string> words_of(std::string_view name) {
  std::vector<std::string> words;
  std::string word;
  const auto close = [&] {
    if (!word.empty()) words.push_back(std::exchange(word, {}));
  };
  for (std::size_t i = 0; i < name.size(); ++i) {
    const char c = name[i];
    if (!is_letter(c) && !is_digit(c)) {
      close();
      continue;
    }
    const bool after_small = i > 0 && is_letter(name[i - 1]) && !is_upper(name[i - 1]);
    const bool before_small = i > 0 && is_upper(name[i - 1]) && i + 1 < name.size() &&
                              is_letter(name[i + 1]) && !is_upper(name[i + 1]);
    if (is_upper(c) && (after_small || before_small)) close();
    word += low(c);
  }
  close();
  return words;
}

bool any_of(const std::string& text, std::initializer_list<std::string_view> parts) {
  return std::any_of(parts.begin(), parts.end(), [&](std::string_view part) {
    return text.find(part) != std::string::npos;
  });
}

bool has_word(const std::vector<std::string>& words, std::initializer_list<std::string_view> any) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
    return std::find(any.begin(), any.end(), word) != any.end();
  });
}

// Takes the unit off the end of the name: in brackets, or as the last word ("ax_g", "t/ms").
Unit take_unit(std::string& name) {
  // "acc x without g" is no unit.
  if (name.find("without") != std::string::npos) return {};
  for (std::size_t open = name.find_first_of("([{"); open != std::string::npos;
       open = name.find_first_of("([{", open + 1)) {
    const char closing = name[open] == '(' ? ')' : name[open] == '[' ? ']' : '}';
    std::size_t close = name.find(closing, open);
    if (close == std::string::npos) close = name.size();
    const std::string inside = name.substr(open + 1, close - open - 1);
    Unit unit = unit_in(inside);
    // "(g-force)", "(in g)", "(unit: g)"
    if (!unit) {
      const std::size_t space = inside.find_last_of(" :");
      if (space != std::string::npos) unit = unit_in(inside.substr(space + 1));
    }
    if (unit) {
      name.erase(open, close - open + 1);
      return unit;
    }
  }
  // The longest ending that is a unit, but never all of the name.
  for (std::size_t i = 1; i + 1 <= name.size(); ++i) {
    const char before = name[i - 1];
    if (before != '_' && before != ' ' && before != '/' && before != ',' && before != '-' &&
        before != ':' && before != '.') {
      continue;
    }
    const std::string ending = name.substr(i);
    // One letter behind a minus or a point is an axis or a part of a name.
    if (ending.size() == 1 && (before == '-' || before == '.')) continue;
    Unit unit = unit_in(ending);
    if (unit && unit.of != UnitOf::kMagneticField && !is_digit(ending.front())) {
      if (ending == "c" || ending == "n" || ending == "w" || ending == "v") continue;
      name.erase(i - 1);
      return unit;
    }
  }
  return {};
}

// The axis a name ends in, begins with or has as a word; it is taken out of `words`.
int take_axis(std::vector<std::string>& words) {
  for (std::size_t i = words.size(); i-- > 0;) {
    if (words[i].size() == 1 && words[i][0] >= 'x' && words[i][0] <= 'z') {
      const int axis = words[i][0] - 'x';
      words.erase(words.begin() + static_cast<std::ptrdiff_t>(i));
      return axis;
    }
  }
  static constexpr std::string_view kStems[] = {"a",         "g",      "w",
                                                "f",         "gf",     "m",
                                                "acc",       "accel",  "acceleration",
                                                "gyro",      "gyr",    "omega",
                                                "mag",       "b",      "accelerometer",
                                                "gyroscope", "lin",    "linacc",
                                                "la",        "grav",   "gravity",
                                                "axis",      "rot",    "r",
                                                "imu",       "laccel", "rate",
                                                "raw"};
  for (std::string& word : words) {
    if (word.size() < 2) continue;
    const char last = word.back();
    const char first = word.front();
    for (const std::string_view stem : kStems) {
      if (last >= 'x' && last <= 'z' && std::string_view(word).substr(0, word.size() - 1) == stem) {
        word.pop_back();
        return last - 'x';
      }
      if (first >= 'x' && first <= 'z' && std::string_view(word).substr(1) == stem) {
        word.erase(0, 1);
        return first - 'x';
      }
    }
  }
  return -1;
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += word;
  return text;
}

// Surely of time, whatever else the name says ("accelerometer timestamp").
bool says_time(const std::string& all) {
  return any_of(all, {"timestamp", "time", "epoch", "elapsed", "uhrzeit"});
}

bool speaks_of_time(const std::string& all, const std::vector<std::string>& words) {
  return says_time(all) ||
         any_of(all, {"stamp", "milli", "micros", "nanos", "zeit", "tiempo", "temps", "tempo"}) ||
         has_word(words,
                  {"t",
                   "ts",
                   "sec",
                   "secs",
                   "second",
                   "seconds",
                   "s",
                   "ms",
                   "us",
                   "ns",
                   "clock",
                   "utc",
                   "msec",
                   "usec",
                   "tick",
                   "ticks"});
}

Kind kind_of_words(const std::string& all, const std::vector<std::string>& words, int axis) {
  if (axis < 0 && says_time(all)) return Kind::kTime;
  // "magnitude" and its like are lengths of a vector, not an axis of it.
  if (any_of(all,
             {"magnitude",
              "resultant",
              "norm",
              "total",
              "quat",
              "euler",
              "orientation",
              "heading",
              "azimuth",
              "temperature",
              "pressure",
              "battery",
              "humidity",
              "variance",
              "stddev",
              "latitude",
              "longitude",
              "altitude",
              "heartrate"}) ||
      has_word(words,
               {"roll", "pitch", "yaw", "temp", "lat", "lon", "alt", "abs", "q", "std", "hr"})) {
    // "total acceleration x" is the whole of it, gravity included.
    if (!(axis >= 0 && any_of(all, {"total"}))) return Kind::kOther;
  }
  const bool rotation = any_of(all,
                               {"gyr",
                                "angular",
                                "angvel",
                                "rotationrate",
                                "rotrate",
                                "turnrate",
                                "omega",
                                "drehrate",
                                "winkelgesch",
                                "rateofturn",
                                "rotation"}) ||
                        has_word(words, {"w", "rot"});
  if (rotation && any_of(all, {"angularacc"})) return Kind::kOther;
  if (rotation && any_of(all, {"vector", "matrix"})) return Kind::kOther;
  if (rotation) return Kind::kRotationRate;
  if (any_of(all,
             {"without",
              "linear",
              "linacc",
              "lacc",
              "useracc",
              "removed",
              "nograv",
              "gravityfree",
              "excludinggravity",
              "dynamicacc",
              "free"}) &&
      (axis >= 0 || any_of(all, {"acc"}))) {
    return Kind::kLinearAcceleration;
  }
  if (has_word(words, {"la", "lin"}) && axis >= 0) return Kind::kLinearAcceleration;
  if (any_of(all, {"acc", "gforce", "specificforce", "beschl", "acel"})) return Kind::kAcceleration;
  if (any_of(all, {"grav"})) return Kind::kGravity;
  if (any_of(all, {"mag", "compass", "field"})) return Kind::kOther;
  if (axis >= 0 && has_word(words, {"a", "f", "gf"})) return Kind::kAcceleration;
  if (axis >= 0 && has_word(words, {"g"})) return Kind::kRotationRate;
  if (axis >= 0 && has_word(words, {"m", "b", "q"})) return Kind::kOther;
  if (any_of(all, {"velocity", "speed", "power", "force", "load", "weight"}) ||
      has_word(words, {"vel", "v"})) {
    return Kind::kOther;
  }
  if (any_of(all,
             {"height",
              "position",
              "displacement",
              "distance",
              "extension",
              "travel",
              "altura",
              "hauteur",
              "posici"}) ||
      has_word(words, {"pos", "disp", "dist", "h", "cable", "encoder", "weg", "hoehe"})) {
    return Kind::kHeight;
  }
  if (has_word(words, {"date", "day", "datum"}) && !any_of(all, {"time"})) return Kind::kDate;
  if (speaks_of_time(all, words)) return Kind::kTime;
  if (has_word(words,
               {"index",
                "idx",
                "sample",
                "samples",
                "counter",
                "count",
                "packet",
                "seq",
                "sequence",
                "row",
                "frame",
                "n",
                "no",
                "id",
                "num",
                "nr",
                "number"})) {
    return Kind::kIndex;
  }
  return axis >= 0 ? Kind::kAxis : Kind::kUnknown;
}

// What is left open by the words, the unit decides.
Kind kind_of_unit(Kind kind, const Unit& unit, int axis) {
  switch (unit.of) {
    case UnitOf::kAcceleration:
      if (kind == Kind::kAxis || kind == Kind::kUnknown || kind == Kind::kRotationRate) {
        return axis >= 0 ? Kind::kAcceleration : kind;
      }
      return kind;
    case UnitOf::kRotationRate:
      return axis >= 0 && kind != Kind::kOther ? Kind::kRotationRate : kind;
    case UnitOf::kMagneticField:
    case UnitOf::kOther:
      return kind == Kind::kTime || kind == Kind::kIndex ? kind : Kind::kOther;
    case UnitOf::kSpeed:
      return Kind::kOther;
    case UnitOf::kTime:
      return kind == Kind::kUnknown || kind == Kind::kIndex ? Kind::kTime : kind;
    case UnitOf::kLength:
      return kind == Kind::kUnknown || kind == Kind::kAxis ? Kind::kHeight : kind;
    case UnitOf::kNothing:
      break;
  }
  return kind;
}

bool fits(Kind kind, const Unit& unit) {
  switch (kind) {
    case Kind::kTime:
      return unit.of == UnitOf::kTime;
    case Kind::kAcceleration:
    case Kind::kLinearAcceleration:
    case Kind::kGravity:
      return unit.of == UnitOf::kAcceleration;
    case Kind::kRotationRate:
      return unit.of == UnitOf::kRotationRate;
    case Kind::kHeight:
      return unit.of == UnitOf::kLength;
    default:
      return false;
  }
}

}  // namespace

Meaning meaning_of(std::string_view raw_name) {
  Meaning meaning;
  std::string name = in_ascii(raw_name);
  if (const Unit alone = unit_in(name); alone.of == UnitOf::kTime && name != "min") {
    meaning.kind = Kind::kTime;
    meaning.unit = alone;
    return meaning;
  }
  Unit unit = take_unit(name);
  std::vector<std::string> words = words_of(name);
  if (words.empty()) {
    meaning.kind = kind_of_unit(Kind::kUnknown, unit, -1);
    if (fits(meaning.kind, unit)) meaning.unit = unit;
    return meaning;
  }
  // "timestamp_ms" had its unit taken; "millis" and "microseconds since start" are one.
  if (!unit) {
    for (const std::string& word : words) {
      if (const Unit spoken = unit_in(word); spoken.of == UnitOf::kTime && word.size() > 1) {
        unit = spoken;
      }
    }
  }
  const bool terse = words.size() == 1 && words[0].size() == 2;
  meaning.axis = take_axis(words);
  words.erase(std::remove(words.begin(), words.end(), std::string("axis")), words.end());
  meaning.stem = joined(words);
  meaning.kind = kind_of_words(meaning.stem, words, meaning.axis);
  meaning.kind = kind_of_unit(meaning.kind, unit, meaning.axis);
  meaning.terse = terse && meaning.kind == Kind::kRotationRate && words[0] == "g";
  if (fits(meaning.kind, unit)) meaning.unit = unit;
  return meaning;
}

std::vector<Meaning> meanings_of(const Dialect& dialect) {
  std::vector<Meaning> meanings(dialect.columns);
  // A group's name stands above its first column only.
  std::vector<std::string> groups = dialect.groups;
  for (std::size_t i = 1; i < groups.size(); ++i) {
    if (trimmed(groups[i]).empty()) groups[i] = groups[i - 1];
  }
  for (std::size_t i = 0; i < meanings.size() && i < dialect.header.size(); ++i) {
    Meaning& meaning = meanings[i];
    meaning = meaning_of(dialect.header[i]);
    if (meaning.kind == Kind::kAxis && i < groups.size()) {
      const Meaning whole = meaning_of(groups[i] + " " + dialect.header[i]);
      if (whole.kind != Kind::kUnknown) meaning = whole;
    }
    if (!meaning.unit && i < dialect.units.size()) {
      std::string unit = dialect.units[i];
      std::erase_if(unit, [](char c) { return c == '[' || c == ']' || c == '(' || c == ')'; });
      const Meaning whole = meaning_of(dialect.header[i] + " (" + unit + ")");
      if (whole.unit) meaning = whole;
    }
  }
  return meanings;
}

}  // namespace kinetics::sensor_detail
