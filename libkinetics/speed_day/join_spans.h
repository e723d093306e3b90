#pragma once

#include <functional>
#include <vector>

#include "libkinetics/speed_day/kept_span.h"

/// Spans of one recording that were watched apart, put together. Internal to the room.

namespace kinetics {

/// The stretches of all spans, which follow each other, each once. A span's watch begins in the
/// midst of whatever is under way: that is the span's before, whose watch goes on to its end. Where
/// the later one passed it over, or took it up as something else, what comes after that end is
/// watched `again`.
[[nodiscard]] SeenRecording join_spans(const std::vector<KeptSpan>& spans,
                                       const std::function<KeptSpan(const WatchSpan&)>& again);

}  // namespace kinetics
