#include "samples/render/shake.h"

#include <numbers>

#include "samples/render/dice.h"

namespace render {

constexpr double kTwoPi = 2.0 * std::numbers::pi;

Shake::Shake(const std::vector<KnockSpec>& knocks, double tremor_px, std::uint64_t seed)
    : knocks_(knocks) {
  if (tremor_px <= 0.0) return;
  Dice dice(seed ^ 0x5eedULL);
  // Hands sway slowly and tremble faster with ever smaller amplitude; 0.4 and so on only set the
  // balance between the waves.
  const double frequencies[] = {0.13, 0.31, 0.72, 1.6, 3.7, 8.3};
  const double shares[] = {0.75, 0.5, 0.35, 0.2, 0.1, 0.06};
  for (int k = 0; k < 6; ++k) {
    const double a = std::numbers::sqrt2 * tremor_px * shares[k];
    tremor_.push_back({frequencies[k] * dice.uniform(0.9, 1.1),
                       a * dice.uniform(0.5, 1.2),
                       a * dice.uniform(0.5, 1.2),
                       0.0004 * a * dice.uniform(-1.0, 1.0),
                       dice.uniform(0.0, kTwoPi)});
  }
}

PictureShift Shake::at(double t_s) const {
  PictureShift out;
  for (const Wave& w : tremor_) {
    const double angle = kTwoPi * w.frequency_hz * t_s + w.phase_rad;
    out.dx_px += w.x_px * std::sin(angle);
    out.dy_px += w.y_px * std::sin(1.13 * angle + 1.0);
    out.turn_rad += w.turn_rad * std::sin(0.87 * angle + 2.0);
  }
  for (const KnockSpec& k : knocks_) {
    const double since = t_s - k.at_s;
    if (since <= 0.0) continue;
    const double gone = 1.0 - std::exp(-since / (0.5 * k.decay_s));
    const double swing =
        k.swing_px * std::exp(-since / k.decay_s) * std::sin(kTwoPi * k.frequency_hz * since);
    out.dx_px += k.shift_x_px * gone + 0.4 * swing;
    out.dy_px += k.shift_y_px * gone + swing;
    out.turn_rad += k.turn_deg * std::numbers::pi / 180.0 * gone + 0.0006 * swing;
  }
  return out;
}

Pixel shifted(Pixel p, const PictureShift& shift, double width_px, double height_px) {
  const double cx = 0.5 * (width_px - 1.0), cy = 0.5 * (height_px - 1.0);
  const double c = std::cos(shift.turn_rad), s = std::sin(shift.turn_rad);
  const double x = p.x - cx, y = p.y - cy;
  return {cx + c * x - s * y + shift.dx_px, cy + s * x + c * y + shift.dy_px};
}

}  // namespace render
