#pragma once

#include <optional>

#include <opencv2/core/types.hpp>

#include "libkinetics/media/clip.h"

/// A picture of how far each pixel is from grey. Internal.

namespace kinetics {

/// The frame with its colourfulness in place of its luma: twice |blue − luma| + |red − luma|, both
/// about 128, spread to the luma's size. Walls, floors and racks are nearly black in it and a
/// coloured disc is bright, however dark both are. Nothing where the picture has no colour planes.
[[nodiscard]] std::optional<Frame> colourfulness_of(const Frame& frame, const ClipInfo& info);
/// The same within an area; what lies outside must not be read.
[[nodiscard]] std::optional<Frame> colourfulness_of(const Frame& frame,
                                                    const ClipInfo& info,
                                                    const cv::Rect& area);

}  // namespace kinetics
