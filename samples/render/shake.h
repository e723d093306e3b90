#pragma once

#include <cstdint>
#include <vector>

#include "samples/render/camera.h"
#include "samples/render/scene.h"

/// A camera that is knocked or trembles: its whole picture shifts and turns a little.

namespace render {

/// Where a picture's point goes: turned about the picture's middle, then shifted.
struct PictureShift {
  double dx_px = 0.0;
  double dy_px = 0.0;
  double turn_rad = 0.0;
  bool operator==(const PictureShift&) const = default;
};

class Shake {
 public:
  Shake(const std::vector<KnockSpec>& knocks, double tremor_px, std::uint64_t seed);
  [[nodiscard]] PictureShift at(double t_s) const;
  [[nodiscard]] bool ever() const { return !knocks_.empty() || !tremor_.empty(); }

 private:
  struct Wave {
    double frequency_hz, x_px, y_px, turn_rad, phase_rad;
  };
  std::vector<KnockSpec> knocks_;
  std::vector<Wave> tremor_;
};

[[nodiscard]] Pixel shifted(Pixel p, const PictureShift& shift, double width_px, double height_px);

}  // namespace render
