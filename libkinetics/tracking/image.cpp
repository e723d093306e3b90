#include "libkinetics/tracking/image.h"

#include <cstdint>
#include <vector>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

/// With the factor known the compiler takes several pixels at once.
template <int kFactor>
void mean_of_blocks(const LumaView& view, cv::Mat1b& small) {
  constexpr int kArea = kFactor * kFactor;
  for (int y = 0; y < small.rows; ++y) {
    std::uint8_t* out = small.ptr(y);
    const std::uint8_t* block = view.origin + view.step_y * kFactor * y;
    for (int x = 0; x < small.cols; ++x, block += kFactor) {
      int sum = 0;
      for (int dy = 0; dy < kFactor; ++dy) {
        for (int dx = 0; dx < kFactor; ++dx) sum += block[dy * view.step_y + dx];
      }
      out[x] = static_cast<std::uint8_t>((sum + kArea / 2) / kArea);
    }
  }
}

}  // namespace

cv::Mat1b shrink(const LumaView& view, int factor) {
  KINETICS_ASSERT(factor >= 1 && view.width >= factor && view.height >= factor);
  const int width = view.width / factor;
  const int height = view.height / factor;
  // From six-fold on, every second pixel each way is enough of a mean and a quarter of the work.
  const int skip = factor >= 6 ? 2 : 1;
  const int per_side = (factor + skip - 1) / skip;
  const auto area = static_cast<std::uint32_t>(per_side * per_side);
  cv::Mat1b small(height, width);
  if (view.step_x == 1 && (factor == 2 || factor == 4)) {
    factor == 2 ? mean_of_blocks<2>(view, small) : mean_of_blocks<4>(view, small);
    return small;
  }
  std::vector<std::uint32_t> sums(static_cast<std::size_t>(width));
  for (int y = 0; y < height; ++y) {
    std::fill(sums.begin(), sums.end(), 0U);
    for (int dy = 0; dy < factor; dy += skip) {
      const std::uint8_t* p = view.origin + (y * factor + dy) * view.step_y;
      const std::ptrdiff_t block = factor * view.step_x;
      const std::ptrdiff_t step = skip * view.step_x;
      for (int x = 0; x < width; ++x, p += block) {
        std::uint32_t sum = 0;
        const std::uint8_t* q = p;
        for (int k = 0; k < per_side; ++k, q += step) sum += *q;
        sums[static_cast<std::size_t>(x)] += sum;
      }
    }
    std::uint8_t* out = small.ptr(y);
    for (int x = 0; x < width; ++x) {
      out[x] = static_cast<std::uint8_t>((sums[static_cast<std::size_t>(x)] + area / 2) / area);
    }
  }
  return small;
}

cv::Mat1b copy_of(const LumaView& view, const cv::Rect& area) {
  KINETICS_ASSERT(area.x >= 0 && area.y >= 0 && area.x + area.width <= view.width &&
                  area.y + area.height <= view.height);
  cv::Mat1b patch(area.height, area.width);
  for (int y = 0; y < area.height; ++y) {
    const std::uint8_t* row = view.origin + area.x * view.step_x + (area.y + y) * view.step_y;
    std::uint8_t* out = patch.ptr(y);
    for (int x = 0; x < area.width; ++x) out[x] = row[x * view.step_x];
  }
  return patch;
}

}  // namespace kinetics
