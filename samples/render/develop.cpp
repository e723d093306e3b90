#include "samples/render/develop.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace render {
namespace {

// Noise is cut from one long strip at a random place for every row.
constexpr std::size_t kNoiseStrip = 1 << 17;
constexpr float kBlack = 16.0F;
constexpr double kTwoPi = 2.0 * std::numbers::pi;

}  // namespace

Developer::Developer(const CaptureSpec& capture,
                     const Shutter& shutter,
                     int width_px,
                     int height_px,
                     std::uint64_t seed)
    : capture_(capture), shutter_(shutter), random_(static_cast<unsigned>(seed ^ 0x51a1e)) {
  // Light falls with the square of the distance from the middle, to 1 − vignette in the corners.
  const double reach = 0.25 * (double(width_px) * width_px + double(height_px) * height_px);
  for (int c = 0; c < width_px; ++c)
    falloff_x_.push_back(
        static_cast<float>(capture.vignette * std::pow(c - 0.5 * (width_px - 1), 2) / reach));
  for (int r = 0; r < height_px; ++r)
    falloff_y_.push_back(
        static_cast<float>(capture.vignette * std::pow(r - 0.5 * (height_px - 1), 2) / reach));
  column_gain_.resize(static_cast<std::size_t>(width_px));
  noise_.resize(kNoiseStrip + static_cast<std::size_t>(width_px));
  std::mt19937 engine(static_cast<unsigned>(seed));
  // Box and Muller's way from uniform to normal (Ann Math Stat 1958; 29:610–611).
  for (float& n : noise_) {
    const double u = (engine() + 1.0) / 4294967297.0, w = engine() / 4294967296.0;
    n = static_cast<float>(capture.noise_sigma * std::sqrt(-2.0 * std::log(u)) *
                           std::cos(kTwoPi * w));
  }
}

double Developer::light_at(double t_s) const {
  double light = 1.0;
  if (capture_.flicker > 0.0) {
    const double hz = 2.0 * capture_.mains_hz;
    // The exposure takes the mean over its own length.
    const double x = std::numbers::pi * hz * capture_.exposure_s;
    const double kept = x > 1e-9 ? std::sin(x) / x : 1.0;
    light += capture_.flicker * kept * std::cos(kTwoPi * hz * t_s);
  }
  if (capture_.light_drift > 0.0)
    light += capture_.light_drift *
             (0.6 * std::sin(kTwoPi * 0.07 * t_s) + 0.4 * std::sin(kTwoPi * 0.19 * t_s + 1.0));
  constexpr double kSwitching_s = 0.3;
  for (const LightStepSpec& step : capture_.light_steps)
    light *= 1.0 + step.share * std::clamp((t_s - step.at_s) / kSwitching_s, 0.0, 1.0);
  return light;
}

void Developer::develop(const Canvas& light, double t_s, Canvas& picture) {
  const int width = light.y.cols, height = light.y.rows;
  const auto contrast = static_cast<float>(capture_.contrast);
  const auto lift = static_cast<float>(capture_.brightness) + kBlack + 0.5F;
  const bool plain = capture_.vignette <= 0.0;
  // Readout along the columns happens in rotated clips: then the light varies from left to right.
  for (int c = 0; c < width; ++c) {
    const double delay = shutter_.delay_s({double(c), 0.5 * (height - 1)});
    column_gain_[static_cast<std::size_t>(c)] =
        delay == 0.0 ? 1.0F : static_cast<float>(light_at(t_s + delay) / light_at(t_s));
  }
  for (int r = 0; r < height; ++r) {
    const double delay = shutter_.delay_s({0.5 * (width - 1), double(r)});
    const float gain = contrast * static_cast<float>(light_at(t_s + delay));
    const std::uint8_t* in = light.y.ptr(r);
    std::uint8_t* out = picture.y.ptr(r);
    const float* noise = &noise_[random_() % kNoiseStrip];
    const float far = falloff_y_[static_cast<std::size_t>(r)];
    if (plain && column_gain_[0] == 1.0F) {
      for (int c = 0; c < width; ++c) {
        const float v = gain * (in[c] - kBlack) + lift + noise[c];
        out[c] = static_cast<std::uint8_t>(std::clamp(v, 0.0F, 255.0F));
      }
    } else {
      const float* near = falloff_x_.data();
      const float* column = column_gain_.data();
      for (int c = 0; c < width; ++c) {
        const float g = gain * column[c] * (1.0F - far - near[c]);
        const float v = g * (in[c] - kBlack) + lift + noise[c];
        out[c] = static_cast<std::uint8_t>(std::clamp(v, 0.0F, 255.0F));
      }
    }
  }
  const double chroma = std::min(1.0, capture_.contrast);
  light.u.convertTo(picture.u, CV_8U, chroma, 128.0 * (1.0 - chroma));
  light.v.convertTo(picture.v, CV_8U, chroma, 128.0 * (1.0 - chroma));
}

}  // namespace render
