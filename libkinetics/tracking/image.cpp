#include "libkinetics/tracking/image.h"

#include <cstdint>
#include <vector>

#include "libkinetics/core/error.h"

namespace kinetics {

cv::Mat1b shrink(const LumaView& view, int factor) {
  KINETICS_ASSERT(factor >= 1 && view.width >= factor && view.height >= factor);
  const int width = view.width / factor;
  const int height = view.height / factor;
  const int area = factor * factor;
  cv::Mat1b small(height, width);
  std::vector<std::uint32_t> sums(static_cast<std::size_t>(width));
  for (int y = 0; y < height; ++y) {
    std::fill(sums.begin(), sums.end(), 0U);
    for (int dy = 0; dy < factor; ++dy) {
      const std::uint8_t* row = view.origin + (y * factor + dy) * view.step_y;
      for (int x = 0; x < width; ++x) {
        std::uint32_t sum = 0;
        for (int dx = 0; dx < factor; ++dx) sum += row[(x * factor + dx) * view.step_x];
        sums[static_cast<std::size_t>(x)] += sum;
      }
    }
    std::uint8_t* out = small.ptr(y);
    for (int x = 0; x < width; ++x) {
      out[x] = static_cast<std::uint8_t>(
          (sums[static_cast<std::size_t>(x)] + static_cast<std::uint32_t>(area / 2)) /
          static_cast<std::uint32_t>(area));
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
