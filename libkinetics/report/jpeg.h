#pragma once

#include <string>

#include "libkinetics/media/clip_reader.h"

/// One picture for a browser.

namespace kinetics {

/// The picture as a JPEG file's bytes. `quality` runs from 1 to 100.
///
/// Errors  Error{kInternal} when memory runs out.
[[nodiscard]] std::string to_jpeg(const ColourPicture& picture, int quality = 85);

}  // namespace kinetics
