#include "libkinetics/tracking/colourfulness.h"

#include <cstdlib>
#include <memory>

#include <opencv2/imgproc.hpp>

#include "libkinetics/media/chroma.h"

namespace kinetics {

std::optional<Frame> colourfulness_of(const Frame& frame, const ClipInfo& info) {
  constexpr int kGrey = 128;
  constexpr int kGain = 2;            // what phones store of a gym's colours is faint
  constexpr double kUnsharpPx = 1.0;  // of the colour planes
  const auto chroma = chroma_of(frame, info);
  if (!chroma) return std::nullopt;
  const LumaView& blue = chroma->blue;
  const LumaView& red = chroma->red;
  cv::Mat1b small(blue.height, blue.width);
  for (int y = 0; y < blue.height; ++y) {
    const std::uint8_t* b = blue.origin + y * blue.step_y;
    const std::uint8_t* r = red.origin + y * red.step_y;
    std::uint8_t* out = small[y];
    for (int x = 0; x < blue.width; ++x, b += blue.step_x, r += red.step_x) {
      out[x] =
          cv::saturate_cast<std::uint8_t>(kGain * (std::abs(*b - kGrey) + std::abs(*r - kGrey)));
    }
  }
  // Colours are coded coarsely: one edge comes as several steps, which this makes one again.
  cv::GaussianBlur(small, small, {0, 0}, kUnsharpPx);
  const auto whole = std::make_shared<cv::Mat1b>();
  cv::resize(small, *whole, {frame.luma.width, frame.luma.height}, 0.0, 0.0, cv::INTER_LINEAR);
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
