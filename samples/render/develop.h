#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "samples/render/canvas.h"
#include "samples/render/scene.h"
#include "samples/render/shutter.h"

/// From the light on the sensor to the grey levels handed to the encoder.

namespace render {

/// Vignetting, changing light, contrast and noise. Same seed, same noise.
class Developer {
 public:
  Developer(const CaptureSpec& capture,
            const Shutter& shutter,
            int width_px,
            int height_px,
            std::uint64_t seed);
  void develop(const Canvas& light, double t_s, Canvas& picture);

 private:
  /// Light on the picture's row at a time, 1 on average. Mains lamps pulse twice a period.
  [[nodiscard]] double light_at(double t_s) const;

  CaptureSpec capture_;
  const Shutter& shutter_;
  std::vector<float> falloff_x_, falloff_y_;  // vignetting, squared distance parts
  std::vector<float> noise_;
  std::vector<float> column_gain_;
  std::mt19937 random_;
};

}  // namespace render
