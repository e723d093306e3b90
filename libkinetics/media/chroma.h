#pragma once

#include <optional>

#include "libkinetics/media/clip.h"

/// What a picture holds besides its luma: its colours, as the decoder gives them.

namespace kinetics {

/// The two colour planes as displayed, smaller than the picture by the same factor each; 128 is
/// grey. They live as long as the frame's pixels.
struct ChromaViews {
  LumaView blue;  ///< blue less luma
  LumaView red;   ///< red less luma
};

/// The colours of a picture that came from a ClipReader. Nothing where they do not lie in 8-bit
/// planes of their own: grey, deeper or packed formats.
[[nodiscard]] std::optional<ChromaViews> chroma_of(const Frame& frame, const ClipInfo& info);

}  // namespace kinetics
