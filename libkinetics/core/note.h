#pragma once

#include <string>
#include <vector>

/// Something a step decided or could not do that the coach should be told. Travels with results.

namespace kinetics {

enum class NoteKind {
  kDecision,  ///< a choice made for the user, and how to overrule it
  kCaution,   ///< a reason to trust the numbers less
};

struct Note {
  NoteKind kind = NoteKind::kDecision;
  std::string text;  ///< one or two plain sentences
  bool operator==(const Note&) const = default;
};

using Notes = std::vector<Note>;

}  // namespace kinetics
