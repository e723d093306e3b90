#include "samples/render/shutter.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "samples/render/dice.h"

namespace render {
namespace {

struct Rate {
  int num, den;
};

// 29.97 means 30000/1001, and so on; other rates are kept to a thousandth.
Rate exact_rate(double rate_hz) {
  const double base = std::round(rate_hz * 1.001);
  if (std::abs(base / 1.001 - rate_hz) < 0.005 && std::abs(rate_hz - std::round(rate_hz)) > 1e-6)
    return {static_cast<int>(base) * 1000, 1001};
  return {static_cast<int>(std::lround(rate_hz * 1000.0)), 1000};
}

// What a converter makes of it that wants an even rate.
void deliver_evenly(double rate_hz, Schedule& schedule) {
  const Rate rate = exact_rate(rate_hz);
  const std::vector<Shot> taken = std::move(schedule.shots);
  schedule = {.tick_num = rate.den, .tick_den = rate.num, .stored_rate_hz = rate_hz, .shots = {}};
  const double interval_s = double(rate.den) / rate.num;
  std::size_t nearest = 0;
  for (std::int64_t i = 0; double(i) * interval_s <= taken.back().stamp_s; ++i) {
    const double at_s = double(i) * interval_s;
    const std::size_t before = nearest;
    while (nearest + 1 < taken.size() &&
           taken[nearest + 1].stamp_s - at_s <= at_s - taken[nearest].stamp_s) {
      ++nearest;
    }
    schedule.shots.push_back({.taken_s = taken[nearest].taken_s,
                              .stamp_s = at_s,
                              .ticks = i,
                              .repeats = i > 0 && nearest == before});
  }
}

}  // namespace

Shutter::Shutter(const CaptureSpec& capture, int width_px, int height_px)
    : readout_s_(capture.readout_s), middle_{0.5 * (width_px - 1), 0.5 * (height_px - 1)} {
  const bool sideways = capture.rotation_deg % 180 != 0;
  rows_ = sideways ? width_px : height_px;
  // A clockwise quarter turn brings the stored top row to the displayed right.
  switch (capture.rotation_deg) {
    case 90:
      axis_ = {-1.0, 0.0};
      break;
    case 180:
      axis_ = {0.0, -1.0};
      break;
    case 270:
      axis_ = {1.0, 0.0};
      break;
    default:
      axis_ = {0.0, 1.0};
  }
}

Pixel Shutter::read_between(Pixel before, Pixel middle, Pixel after) const {
  const Pixel step = after - before;
  const Pixel bend = 2.0 * (before + after - 2.0 * middle);
  // Each round takes the error down by the point's speed in rows over that of the readout.
  constexpr int kRounds = 4;
  Pixel at = middle;
  for (int i = 0; i < kRounds; ++i) {
    const double s = share(at);
    at = middle + s * step + (s * s) * bend;
  }
  return at;
}

Schedule make_schedule(const CaptureSpec& capture, double end_s, std::uint64_t seed) {
  const Rate rate = exact_rate(capture.frame_rate_hz);
  const Rate stored = capture.stored_rate_hz > 0.0 ? exact_rate(capture.stored_rate_hz) : rate;
  const double slowed = (double(rate.num) / rate.den) / (double(stored.num) / stored.den);
  const bool even = capture.stamp_jitter_s <= 0.0 && capture.stamp_error_s <= 0.0;
  Schedule out;
  out.stored_rate_hz = double(stored.num) / stored.den;
  if (even) {
    // One tick a frame, as a camera with a steady clock writes it.
    out.tick_num = stored.den;
    out.tick_den = stored.num;
  } else if (capture.codec == "mpeg4") {
    out.tick_den = 60000;  // this codec keeps 16 bits of ticks a second
  }
  const double tick_s = double(out.tick_num) / out.tick_den;
  Dice dice(seed ^ 0x7157'a3b5ULL);
  const double period_s = double(rate.den) / rate.num;
  std::int64_t last_ticks = -1;
  for (std::int64_t i = 0; double(i) * period_s < end_s; ++i) {
    const double jitter = i == 0 ? 0.0 : dice.around(capture.stamp_jitter_s);
    const double error = i == 0 ? 0.0 : dice.around(capture.stamp_error_s);
    const bool dropped = dice.chance(capture.dropped_share);
    const bool repeats = dice.chance(capture.repeated_share);
    const bool same = dice.chance(capture.same_stamp_share);
    if (dropped && i > 0) continue;
    Shot shot;
    shot.repeats = repeats && i > 0;
    shot.taken_s = double(i) * period_s + jitter;
    shot.ticks = even ? i : std::llround((shot.taken_s + error) * slowed / tick_s);
    shot.ticks = std::max(shot.ticks, last_ticks + 1);
    if (same && i > 0) shot.ticks = last_ticks;
    last_ticks = shot.ticks;
    shot.stamp_s = double(shot.ticks) * tick_s / slowed;
    // Without a stamp error the stamp is the truth, to the last tick.
    if (capture.stamp_error_s <= 0.0 && !same) shot.taken_s = shot.stamp_s;
    out.shots.push_back(shot);
  }
  if (capture.delivered_rate_hz > 0.0) deliver_evenly(capture.delivered_rate_hz, out);
  return out;
}

EncodeSpec encode_spec(const Scene& scene, const Schedule& schedule) {
  const CaptureSpec& cap = scene.capture;
  EncodeSpec out{.codec = cap.codec,
                 .preset = cap.preset,
                 .width_px = scene.camera.width_px,
                 .height_px = scene.camera.height_px,
                 .rotation_deg = cap.rotation_deg,
                 .crf = cap.crf,
                 .bit_rate_bps = cap.bit_rate_bps,
                 .key_every_s = cap.key_every_s,
                 .tick_num = schedule.tick_num,
                 .tick_den = schedule.tick_den,
                 .frame_rate_hz = schedule.stored_rate_hz};
  if (cap.slow_motion_tag) out.capture_rate_hz = cap.frame_rate_hz;
  return out;
}

}  // namespace render
