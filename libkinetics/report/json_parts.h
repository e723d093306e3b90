#pragma once

#include <cmath>
#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"

/// Pieces that the room's JSON documents share. Private to the report.

namespace kinetics::json_parts {

// Keeps the order in which we write the keys.
using Json = nlohmann::ordered_json;

// Ten micrometres, ten microseconds: finer than anything that is measured, and short to write.
inline double rounded(double value) {
  return std::round(value * 1e5) / 1e5;
}

template <typename T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

inline Json of(const Measured& m) {
  if (!m.ok()) return {{"not_measured", in_words(m.reason())}};
  return {{"value", rounded(m.value())}, {"lo", rounded(m.lo())}, {"hi", rounded(m.hi())}};
}

inline Json of(const Note& note) {
  return {{"kind", note.kind == NoteKind::kCaution ? "caution" : "decision"}, {"text", note.text}};
}

// A file name can hold any bytes; JSON must be UTF-8, so bad ones become U+FFFD.
inline std::string text_of(const Json& value, int indent) {
  return value.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace kinetics::json_parts
