#pragma once

#include <cstdint>
#include <vector>

#include "libkinetics/media/clip.h"

/// The disc as seen in the picture, frame by frame, before any length is made of it.

namespace kinetics {

/// A place in the displayed picture: x right, y down, in pixels from the top left pixel's centre.
struct PixelPoint {
  double x_px = 0.0;
  double y_px = 0.0;
  bool operator==(const PixelPoint&) const = default;
};

enum class Sighting {
  kSeen,     ///< the rim was measured in this frame
  kCoasted,  ///< hidden: the place is predicted from before and after
  kLost,     ///< not in view, or nobody knows where
};

/// The disc's rim in one frame, an ellipse.
struct DiscSighting {
  std::int64_t frame = 0;
  double t_s = 0.0;
  Sighting sighting = Sighting::kLost;
  PixelPoint centre;            ///< of the ellipse, camera motion not removed
  double half_width_px = 0.0;   ///< half the ellipse's extent along the picture's x
  double half_height_px = 0.0;  ///< half its extent along y
  double tilt = 0.0;            ///< correlation of the ellipse's x and y extents, -1 to 1
  double sigma_x_px = 0.0;      ///< 1 sigma of the centre
  double sigma_y_px = 0.0;
  double rim_seen = 0.0;    ///< share of the rim that was found, 0 to 1
  PixelPoint camera_shift;  ///< how far a still point here has moved since the first frame
};

struct DiscTrack {
  std::vector<DiscSighting> sightings;  ///< one per frame of the clip
};

}  // namespace kinetics
