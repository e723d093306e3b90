#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "samples/render/encode.h"
#include "samples/render/geometry.h"
#include "samples/render/scene.h"

/// When each frame, and each row of it, is taken, and what the container says about it.

namespace render {

/// The sensor's rows are read one after another, top down as stored. Times are relative to the
/// middle of the picture.
class Shutter {
 public:
  Shutter(const CaptureSpec& capture, int width_px, int height_px);
  [[nodiscard]] bool global() const { return readout_s_ <= 0.0; }
  [[nodiscard]] double readout_s() const { return readout_s_; }
  /// How much later than the picture's middle a place is read, s.
  [[nodiscard]] double delay_s(Pixel p) const { return readout_s_ * share(p); }
  /// Where a point is read that is at `before` half a readout early, at `middle` on time and at
  /// `after` half a readout late, moving with an even acceleration between.
  [[nodiscard]] Pixel read_between(Pixel before, Pixel middle, Pixel after) const;

 private:
  [[nodiscard]] double share(Pixel p) const {
    return ((p.x - middle_.x) * axis_.x + (p.y - middle_.y) * axis_.y) / rows_;
  }
  double readout_s_;
  Pixel axis_;  // readout direction, as displayed
  Pixel middle_;
  double rows_;  // as stored
};

struct Shot {
  double taken_s = 0.0;  ///< real time
  double stamp_s = 0.0;  ///< what the container says, slow motion undone
  std::int64_t ticks = 0;
  bool repeats = false;  ///< shows the picture before again
};

struct Schedule {
  int tick_num = 1;  ///< one tick lasts num/den s as stored
  int tick_den = 90000;
  double stored_rate_hz = 30.0;
  std::vector<Shot> shots;
};

[[nodiscard]] Schedule make_schedule(const CaptureSpec& capture, double end_s, std::uint64_t seed);

[[nodiscard]] EncodeSpec encode_spec(const Scene& scene, const Schedule& schedule);

}  // namespace render
