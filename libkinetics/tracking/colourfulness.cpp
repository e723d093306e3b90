#include "libkinetics/tracking/colourfulness.h"

#include <cstdlib>
#include <memory>

#include <opencv2/imgproc.hpp>

#include "libkinetics/media/chroma.h"

namespace kinetics {

namespace {

cv::Rect grown(const cv::Rect& area, int by) {
  return {area.x - by, area.y - by, area.width + 2 * by, area.height + 2 * by};
}

}  // namespace

std::optional<Frame> colourfulness_of(const Frame& frame, const ClipInfo& info) {
  return colourfulness_of(frame, info, {0, 0, frame.luma.width, frame.luma.height});
}

std::optional<Frame> colourfulness_of(const Frame& frame,
                                      const ClipInfo& info,
                                      const cv::Rect& area) {
  constexpr int kGrey = 128;
  constexpr int kGain = 2;            // what phones store of a gym's colours is faint
  constexpr double kUnsharpPx = 1.0;  // of the colour planes
  const auto chroma = chroma_of(frame, info);
  if (!chroma) return std::nullopt;
  const LumaView& blue = chroma->blue;
  const LumaView& red = chroma->red;
  // Where the colour planes are half as large, as phones store them, only what is wanted is made.
  const cv::Rect all(0, 0, frame.luma.width, frame.luma.height);
  const cv::Rect plane(0, 0, blue.width, blue.height);
  const bool half = all.width == 2 * plane.width && all.height == 2 * plane.height;
  constexpr int kBetween = 2;    // pixels of the luma lie between so many of the planes
  constexpr int kBlurReach = 4;  // of kUnsharpPx
  const cv::Rect halved(area.x / 2, area.y / 2, area.width / 2, area.height / 2);
  const cv::Rect part = half ? grown(halved, kBetween) & plane : plane;
  const cv::Rect from = grown(part, kBlurReach) & plane;
  cv::Mat1b small(from.size());
  for (int y = 0; y < small.rows; ++y) {
    const std::uint8_t* b = blue.origin + from.x * blue.step_x + (from.y + y) * blue.step_y;
    const std::uint8_t* r = red.origin + from.x * red.step_x + (from.y + y) * red.step_y;
    std::uint8_t* out = small[y];
    for (int x = 0; x < small.cols; ++x, b += blue.step_x, r += red.step_x) {
      out[x] =
          cv::saturate_cast<std::uint8_t>(kGain * (std::abs(*b - kGrey) + std::abs(*r - kGrey)));
    }
  }
  // Colours are coded coarsely: one edge comes as several steps, which this makes one again.
  cv::GaussianBlur(small, small, {0, 0}, kUnsharpPx);
  const auto whole = std::make_shared<cv::Mat1b>(all.size());
  cv::Mat target = (*whole)(half ? cv::Rect(2 * part.tl(), 2 * part.br()) : all);
  cv::resize(small(part - from.tl()), target, target.size(), 0.0, 0.0, cv::INTER_LINEAR);
  Frame result = frame;
  result.luma = {.origin = whole->ptr(0),
                 .width = whole->cols,
                 .height = whole->rows,
                 .step_x = 1,
                 .step_y = static_cast<std::ptrdiff_t>(whole->step1())};
  result.pixels = whole;
  return result;
}

}  // namespace kinetics
