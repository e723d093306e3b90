#include "libkinetics/core/measured.h"

#include "libkinetics/core/error.h"

namespace kinetics {

std::string_view in_words(Reason reason) {
  switch (reason) {
    case Reason::kDiscHidden:
      return "disc hidden";
    case Reason::kTooFewFrames:
      return "too few frames";
    case Reason::kOutsideClip:
      return "cut off by the clip";
    case Reason::kNoReadings:
      return "hole in the log";
    case Reason::kLoadUnknown:
      return "load not given";
    case Reason::kHeightUnknown:
      return "bar height above the floor not given";
    case Reason::kWithinNoise:
      return "too small to tell from noise";
    case Reason::kNotApplicable:
      return "not applicable";
    case Reason::kNotGiven:
      return "not given";
  }
  return "unknown";
}

double Measured::value() const {
  KINETICS_ASSERT(measured_);
  return value_;
}

double Measured::sigma() const {
  KINETICS_ASSERT(measured_);
  return sigma_;
}

}  // namespace kinetics
