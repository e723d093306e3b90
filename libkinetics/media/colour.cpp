#include <algorithm>
#include <array>
#include <cmath>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/media/held_picture.h"

namespace kinetics {
namespace {

constexpr int kBytes = 3;  // blue, green, red

struct Size {
  int width = 0;
  int height = 0;
};

// Displayed size with square pixels: the squeezed side is stretched, so that no detail is lost.
Size square_size(const ClipInfo& info, int longest_side_px) {
  double width = info.width_px * std::max(info.pixel_aspect, 1.0);
  double height = info.height_px / std::min(info.pixel_aspect, 1.0);
  const double shrink = std::min(1.0, longest_side_px / std::max(width, height));
  width *= shrink;
  height *= shrink;
  return {std::max(1, static_cast<int>(std::lround(width))),
          std::max(1, static_cast<int>(std::lround(height)))};
}

// Colour matrix of the stored picture. Unmarked clips follow the broadcast habit: BT.709 from 720
// rows on, BT.601 below.
const int* coefficients(const AVFrame& picture) {
  int space = picture.colorspace;
  if (space == AVCOL_SPC_UNSPECIFIED) {
    space = std::min(picture.width, picture.height) >= 720 ? SWS_CS_ITU709 : SWS_CS_ITU601;
  }
  return sws_getCoefficients(space);
}

void convert(const AVFrame& picture, Size size, std::uint8_t* out, int stride) {
  // Kept between calls: building one costs as much as converting a picture.
  thread_local libav::Scaler scaler;
  scaler.reset(sws_getCachedContext(scaler.release(),
                                    picture.width,
                                    picture.height,
                                    static_cast<AVPixelFormat>(picture.format),
                                    size.width,
                                    size.height,
                                    AV_PIX_FMT_BGR24,
                                    SWS_BILINEAR,
                                    nullptr,
                                    nullptr,
                                    nullptr));
  if (!scaler) {
    throw Error(ErrorCode::kUnreadable,
                "",
                "its pixel format cannot be turned into colours",
                "Re-export the clip as H.264 in an MP4 file");
  }
  constexpr int kUnity = 1 << 16;
  const int full_range = picture.color_range == AVCOL_RANGE_JPEG ? 1 : 0;
  sws_setColorspaceDetails(scaler.get(),
                           coefficients(picture),
                           full_range,
                           sws_getCoefficients(SWS_CS_DEFAULT),
                           1,
                           0,
                           kUnity,
                           kUnity);
  sws_scale(scaler.get(), picture.data, picture.linesize, 0, picture.height, &out, &stride);
}

void turn(const std::uint8_t* stored,
          std::ptrdiff_t stride,
          const Orientation& o,
          ColourPicture& shown) {
  // Bytes from one displayed pixel to its right and lower neighbours in the stored picture.
  std::ptrdiff_t step_x = o.swapped ? stride : kBytes;
  std::ptrdiff_t step_y = o.swapped ? kBytes : stride;
  if (o.flip_x) stored += step_x * (shown.width_px - 1);
  if (o.flip_y) stored += step_y * (shown.height_px - 1);
  step_x = o.flip_x ? -step_x : step_x;
  step_y = o.flip_y ? -step_y : step_y;
  std::uint8_t* out = shown.bgr.data();
  for (int y = 0; y < shown.height_px; ++y, stored += step_y) {
    const std::uint8_t* in = stored;
    if (step_x == kBytes) {
      out = std::copy_n(in, static_cast<std::ptrdiff_t>(shown.width_px) * kBytes, out);
      continue;
    }
    for (int x = 0; x < shown.width_px; ++x, in += step_x) out = std::copy_n(in, kBytes, out);
  }
}

}  // namespace

ColourPicture to_colour(const Frame& frame, const ClipInfo& info, int longest_side_px) {
  KINETICS_ASSERT(frame.pixels != nullptr);
  const auto& held = *static_cast<const HeldPicture*>(frame.pixels.get());
  const Orientation orientation = orientation_of(info.rotation_deg, info.mirrored);

  const Size shown_size = square_size(info, longest_side_px);
  const Size stored_size =
      orientation.swapped ? Size{shown_size.height, shown_size.width} : shown_size;
  // swscale writes whole vectors: rows are padded so that it may.
  const std::ptrdiff_t stride =
      (static_cast<std::ptrdiff_t>(stored_size.width) * kBytes + 63) / 64 * 64;
  thread_local std::vector<std::uint8_t> stored;  // kept: the pages of a big picture cost time
  stored.resize(static_cast<std::size_t>(stride * stored_size.height + 64));
  convert(*held.picture, stored_size, stored.data(), static_cast<int>(stride));

  ColourPicture shown;
  shown.width_px = shown_size.width;
  shown.height_px = shown_size.height;
  shown.bgr.resize(static_cast<std::size_t>(kBytes) * static_cast<std::size_t>(shown.width_px) *
                   static_cast<std::size_t>(shown.height_px));
  turn(stored.data(), stride, orientation, shown);
  return shown;
}

}  // namespace kinetics
