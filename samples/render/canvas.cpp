// Signed-area accumulation: every edge adds, to each row it crosses, the change of coverage it
// causes from its pixel on; a running sum along the row then gives the exact covered area.
#include "samples/render/canvas.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <opencv2/imgproc.hpp>

namespace render {
namespace {

constexpr int kTextureSize = 256;
constexpr int kBlock = 8;
constexpr float kNothing = 1.0F / 1024.0F;

// One edge piece that stays within one row and within the window's width. Coordinates in pixels
// from the window's corner.
void add_in_row(float* row, double x0, double x1, double dy) {
  if (x0 > x1) std::swap(x0, x1);
  const double first = std::floor(x0);
  const int i0 = static_cast<int>(first);
  const int i1 = static_cast<int>(std::ceil(x1));
  if (i1 <= i0 + 1) {
    const double right_share = 1.0 - (0.5 * (x0 + x1) - first);
    row[i0] += static_cast<float>(dy * right_share);
    row[i0 + 1] += static_cast<float>(dy * (1.0 - right_share));
    return;
  }
  const double slope = 1.0 / (x1 - x0);
  const double a0 = 0.5 * slope * (first + 1.0 - x0) * (first + 1.0 - x0);
  row[i0] += static_cast<float>(dy * a0);
  double before = a0;
  for (int i = i0 + 1; i < i1; ++i) {
    // Mean over the piece of the share of this pixel that lies right of it.
    const double inside = std::min(x1, double(i) + 1.0) - i;
    const double covered = slope * (i - x0 + inside - 0.5 * inside * inside);
    row[i] += static_cast<float>(dy * (covered - before));
    before = covered;
  }
  row[i1] += static_cast<float>(dy * (1.0 - before));
}

}  // namespace

Canvas::Canvas(int width_px, int height_px)
    : y(height_px, width_px, std::uint8_t{16}),
      u((height_px + 1) / 2, (width_px + 1) / 2, std::uint8_t{128}),
      v((height_px + 1) / 2, (width_px + 1) / 2, std::uint8_t{128}) {}

Yuv yuv_from(Colour c) {
  // ITU-R BT.709 luma weights; limited range 16 to 235, chroma 16 to 240.
  const double luma = 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
  return {16.0 + luma * 219.0 / 255.0,
          128.0 + (c.b - luma) / 1.8556 * 224.0 / 255.0,
          128.0 + (c.r - luma) / 1.5748 * 224.0 / 255.0};
}

Brush::Brush() : texture_(kTextureSize * kTextureSize) {
  cv::Mat1f grain(kTextureSize, kTextureSize);
  cv::RNG rng(7);
  rng.fill(grain, cv::RNG::NORMAL, 0.0, 1.0);
  // Blurred with its own other side around it, so that copies join without a seam.
  constexpr int kWrap = 32;
  cv::Mat1f wrapped, coarse, fine;
  cv::copyMakeBorder(grain, wrapped, kWrap, kWrap, kWrap, kWrap, cv::BORDER_WRAP);
  cv::GaussianBlur(wrapped, coarse, {}, 6.0);
  cv::GaussianBlur(wrapped, fine, {}, 1.2);
  const cv::Rect inner(kWrap, kWrap, kTextureSize, kTextureSize);
  coarse = coarse(inner);
  fine = fine(inner);
  for (int r = 0; r < kTextureSize; ++r)
    for (int c = 0; c < kTextureSize; ++c)
      texture_[static_cast<std::size_t>(r * kTextureSize + c)] = static_cast<std::int8_t>(
          std::clamp(64.0F * (1.5F * fine(r, c) + 10.0F * coarse(r, c)), -127.0F, 127.0F));
}

void Brush::accumulate(const Outline& outline, double scale, cv::Rect window) {
  double x_lo = 1e9, x_hi = -1e9, y_lo = 1e9, y_hi = -1e9;
  for (const Pixel& p : outline) {
    x_lo = std::min(x_lo, p.x), x_hi = std::max(x_hi, p.x);
    y_lo = std::min(y_lo, p.y), y_hi = std::max(y_hi, p.y);
  }
  // Pixel i covers i - 0.5 to i + 0.5 in the picture's own frame, and i to i + 1 here.
  const auto clamped = [](double v, int lo, int hi) {
    return static_cast<int>(std::clamp(v, double(lo), double(hi)));
  };
  const int left = clamped(std::floor((x_lo + 0.5) * scale), window.x, window.br().x);
  const int right = clamped(std::ceil((x_hi + 0.5) * scale), window.x, window.br().x);
  const int top = clamped(std::floor((y_lo + 0.5) * scale), window.y, window.br().y);
  const int bottom = clamped(std::ceil((y_hi + 0.5) * scale), window.y, window.br().y);
  box_ = {left, top, right - left, bottom - top};
  if (box_.width <= 0 || box_.height <= 0) return;
  const int stride = box_.width + kBlock + 2;
  area_.assign(static_cast<std::size_t>(stride) * box_.height, 0.0F);

  const double w = box_.width;
  const std::size_t n = outline.size();
  for (std::size_t k = 0; k < n; ++k) {
    Pixel a{(outline[k].x + 0.5) * scale - left, (outline[k].y + 0.5) * scale - top};
    const Pixel& next = outline[(k + 1) % n];
    Pixel b{(next.x + 0.5) * scale - left, (next.y + 0.5) * scale - top};
    if (a.y == b.y) continue;
    const double sign = a.y < b.y ? 1.0 : -1.0;
    if (a.y > b.y) std::swap(a, b);
    const double dxdy = (b.x - a.x) / (b.y - a.y);
    const double y0 = std::max(a.y, 0.0);
    const double y1 = std::min(b.y, double(box_.height));
    for (double y = y0; y < y1;) {
      const int r = static_cast<int>(y);
      double until = std::min(y1, r + 1.0);
      double x = a.x + (y - a.y) * dxdy;
      double x_end = a.x + (until - a.y) * dxdy;
      // Cut where the edge enters or leaves the window's width, so that no clamp bends it.
      for (const double wall : {0.0, w}) {
        if ((x < wall) != (x_end < wall) && x != wall && x_end != wall) {
          const double at = a.y + (wall - a.x) / dxdy;
          if (at > y && at < until) {
            until = at;
            x_end = wall;
          }
        }
      }
      float* row = &area_[static_cast<std::size_t>(r) * stride];
      add_in_row(row, std::clamp(x, 0.0, w), std::clamp(x_end, 0.0, w), sign * (until - y));
      y = until;
    }
  }
}

template <typename Blend>
void Brush::sweep(Blend&& blend) {
  if (box_.width <= 0 || box_.height <= 0) return;
  const int stride = box_.width + kBlock + 2;
  for (int r = 0; r < box_.height; ++r) {
    const float* row = &area_[static_cast<std::size_t>(r) * stride];
    float sum = 0.0F;
    int x = 0;
    while (x < box_.width) {
      // Runs without an edge have one coverage throughout.
      int run = x;
      while (run + kBlock <= box_.width) {
        std::uint64_t bits[kBlock / 2];
        std::memcpy(bits, row + run, sizeof bits);
        if ((bits[0] | bits[1] | bits[2] | bits[3]) != 0) break;
        run += kBlock;
      }
      if (run > x) {
        const float c = std::min(std::abs(sum), 1.0F);
        if (c > kNothing) blend(r + box_.y, x + box_.x, run - x, c);
        x = run;
        if (x >= box_.width) break;
      }
      const int stop = std::min(x + kBlock, box_.width);
      for (; x < stop; ++x) {
        sum += row[x];
        const float c = std::min(std::abs(sum), 1.0F);
        if (c > kNothing) blend(r + box_.y, x + box_.x, 1, c);
      }
    }
  }
}

namespace {

void blend_run(std::uint8_t* at, int n, float share, float value, std::optional<float> onto) {
  if (onto && share <= 0.999F) {
    for (int i = 0; i < n; ++i)
      at[i] = cv::saturate_cast<std::uint8_t>(at[i] + share * (value - *onto));
    return;
  }
  if (share > 0.999F) {
    std::memset(at, static_cast<int>(value + 0.5F), static_cast<std::size_t>(n));
    return;
  }
  for (int i = 0; i < n; ++i)
    at[i] = static_cast<std::uint8_t>(at[i] + share * (value - at[i]) + 0.5F);
}

}  // namespace

void Brush::fill(Canvas& canvas, const Outline& outline, const Fill& fill, cv::Rect window) {
  const auto opacity = static_cast<float>(fill.opacity);
  const auto luma = static_cast<float>(std::clamp(fill.colour.y, 1.0, 254.0));
  const auto strength = static_cast<float>(fill.texture / 64.0);
  const auto onto = [&](double Yuv::*plane) -> std::optional<float> {
    if (!fill.onto) return std::nullopt;
    return static_cast<float>(*fill.onto.*plane);
  };
  accumulate(outline, 1.0, window);
  sweep([&](int r, int x, int n, float c) {
    std::uint8_t* at = canvas.y.ptr(r) + x;
    const float share = c * opacity;
    if (strength == 0.0F) return blend_run(at, n, share, luma, onto(&Yuv::y));
    const std::int8_t* grain = &texture_[static_cast<std::size_t>(
        ((r - fill.texture_y) & (kTextureSize - 1)) * kTextureSize)];
    for (int i = 0; i < n; ++i) {
      const float value = std::clamp(
          luma + strength * grain[(x + i - fill.texture_x) & (kTextureSize - 1)], 1.0F, 254.0F);
      const float under = fill.onto && share <= 0.999F ? static_cast<float>(fill.onto->y) : at[i];
      at[i] = cv::saturate_cast<std::uint8_t>(at[i] + share * (value - under));
    }
  });
  const cv::Rect half(window.x / 2, window.y / 2, window.width / 2, window.height / 2);
  accumulate(outline, 0.5, half);
  const auto cb = static_cast<float>(std::clamp(fill.colour.u, 16.0, 240.0));
  const auto cr = static_cast<float>(std::clamp(fill.colour.v, 16.0, 240.0));
  sweep([&](int r, int x, int n, float c) {
    blend_run(canvas.u.ptr(r) + x, n, c * opacity, cb, onto(&Yuv::u));
    blend_run(canvas.v.ptr(r) + x, n, c * opacity, cr, onto(&Yuv::v));
  });
}

}  // namespace render
