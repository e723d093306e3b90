#include "libkinetics/flags/finding.h"

#include <fmt/format.h>

namespace kinetics {
namespace {

std::string_view said_of_a_rep(FindingKind kind) {
  switch (kind) {
    case FindingKind::kSlowed:
      return "slowed";
    case FindingKind::kBelowExpected:
      return "slower than expected";
    case FindingKind::kTooHeavy:
      return "slower than the zone: too heavy";
    case FindingKind::kTooLight:
      return "faster than the zone: too light";
    case FindingKind::kHighBottom:
      return "turned round too high";
    case FindingKind::kUnevenPause:
      return "paused unevenly";
    case FindingKind::kNotMeasured:
      return "not measured";
  }
  return "unknown";
}

}  // namespace

std::string_view in_words(FindingKind kind) {
  switch (kind) {
    case FindingKind::kSlowed:
      return "slowed";
    case FindingKind::kBelowExpected:
      return "below-expected";
    case FindingKind::kTooHeavy:
      return "too-heavy";
    case FindingKind::kTooLight:
      return "too-light";
    case FindingKind::kHighBottom:
      return "high-bottom";
    case FindingKind::kUnevenPause:
      return "uneven-pause";
    case FindingKind::kNotMeasured:
      return "not-measured";
  }
  return "unknown";
}

std::string flag_word(const Finding& finding) {
  const std::string word(in_words(finding.kind));
  return finding.certainty == Certainty::kCertain ? word : "maybe-" + word;
}

std::string in_a_sentence(const Finding& finding) {
  return fmt::format("Set {} rep {}, {}: {}. {}.",
                     finding.set,
                     finding.rep,
                     said_of_a_rep(finding.kind),
                     in_words(finding.certainty),
                     finding.evidence);
}

}  // namespace kinetics
