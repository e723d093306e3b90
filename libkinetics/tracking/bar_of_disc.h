#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/gather_discs.h"
#include "libkinetics/tracking/track_bar.h"

/// From one of the discs that were followed to the bar's path. Internal.

namespace kinetics {

/// Throws Error{kUsage} for options that make no sense or do not fit the clip.
void check_tracking(const TrackingOptions& options, const ClipInfo& clip);

/// What speaks for each of the discs.
[[nodiscard]] std::vector<DiscMerit> merits_of(const Gathered& gathered,
                                               const TrackingOptions& options);

/// The disc on the bar: the one a seed points at, or the likeliest. Throws Error{kNothingToTrack}
/// when there is none, or another as likely.
[[nodiscard]] std::size_t pick_disc(const Gathered& gathered,
                                    const std::vector<DiscMerit>& merits,
                                    const ClipInfo& clip,
                                    const std::optional<DiscSeed>& seed);

/// What to do when pictures were not taken at the times they carry. A part of a recording keeps the
/// recording's clock.
enum class Stamps { kMend, kKeep };

[[nodiscard]] TrackedBar bar_of_disc(const Gathered& gathered,
                                     const std::vector<DiscMerit>& merits,
                                     std::size_t chosen,
                                     const ClipInfo& clip,
                                     const TrackingOptions& options,
                                     Stamps stamps);

}  // namespace kinetics
