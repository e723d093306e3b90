#pragma once

#include <memory>
#include <string>

#include "libkinetics/session/session.h"
#include "tests/end_to_end/clips.h"

/// OpenCV's general object trackers, put to our job: box centre → bar path → the same kinematics.

namespace peers {

/// The name it is known by in OpenCV, for example "CSRT".
enum class Kind { kCsrt, kKcf, kMosse, kMedianFlow };
[[nodiscard]] std::string name_of(Kind kind);

/// Follows the disc through the clip from a box around its true place in the first picture, which
/// also gives the scale: the box is one disc wide. Everything after the box's centre is ours.
///
/// Reps, motion and path come back as in an analysis; a picture the tracker gave up on counts as
/// one with the disc hidden.
[[nodiscard]] kinetics::Session follow(Kind kind, const accuracy::MadeClip& clip);

}  // namespace peers
