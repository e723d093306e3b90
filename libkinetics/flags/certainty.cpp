#include "libkinetics/flags/certainty.h"

namespace kinetics {
namespace {

constexpr double kOneSided95 = 1.6448536269514722;
constexpr double kOneSided75 = 0.6744897501960817;

}  // namespace

std::string_view in_words(Certainty certainty) {
  switch (certainty) {
    case Certainty::kCertain:
      return "certain";
    case Certainty::kLikely:
      return "likely";
    case Certainty::kCannotTell:
      return "cannot tell";
  }
  return "unknown";
}

std::optional<Certainty> certainty_beyond(double beyond, double sigma) {
  if (beyond > kOneSided95 * sigma) return Certainty::kCertain;
  if (beyond > kOneSided75 * sigma) return Certainty::kLikely;
  if (beyond > -kOneSided75 * sigma) return Certainty::kCannotTell;
  return std::nullopt;
}

}  // namespace kinetics
