#include "libkinetics/media/held_picture.h"

extern "C" {
#include <libavutil/pixdesc.h>
}

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

enum class LumaKind { kInPlace, kDeep, kOther };

LumaKind luma_kind(const AVPixFmtDescriptor& format) {
  constexpr std::uint64_t kNotLuma = AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL |
                                     AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL |
                                     AV_PIX_FMT_FLAG_BAYER | AV_PIX_FMT_FLAG_FLOAT;
  if (format.flags & kNotLuma) return LumaKind::kOther;
  const AVComponentDescriptor& y = format.comp[0];
  if (y.depth == 8 && y.step == 1 && y.shift == 0) return LumaKind::kInPlace;
  const bool words = y.step == 2 && y.depth > 8 && y.depth <= 16 && y.offset == 0;
  if (words && !(format.flags & AV_PIX_FMT_FLAG_BE)) return LumaKind::kDeep;
  return LumaKind::kOther;
}

[[noreturn]] void fail_memory() {
  throw Error(ErrorCode::kInternal,
              "",
              "memory ran out while decoding",
              "Close other programs, or re-export the clip at a smaller size");
}

}  // namespace

std::shared_ptr<const HeldPicture> LumaMaker::hold(libav::Picture picture,
                                                   const Orientation& orientation,
                                                   LumaView& view) {
  auto held = std::make_shared<HeldPicture>();
  held->picture = std::move(picture);
  const AVFrame& from = *held->picture;
  const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(from.format));
  const AVComponentDescriptor& y = format.comp[0];
  const LumaKind kind = luma_kind(format);

  const std::uint8_t* plane = from.data[y.plane];
  std::ptrdiff_t stride = from.linesize[y.plane];
  if (kind != LumaKind::kInPlace) {
    constexpr int kAlign = 64;
    const int padded = (from.width + kAlign - 1) / kAlign * kAlign;
    held->luma = take_buffer(padded, from.height);
    std::uint8_t* to = held->luma->data;
    if (kind == LumaKind::kDeep) {
      shift_down(from, y.plane, y.depth - 8 + y.shift, to, padded);
    } else {
      convert(from, to, padded);
    }
    plane = to;
    stride = padded;
  }
  view = view_of(plane, stride, from.width, from.height, orientation);
  return held;
}

libav::Buffer LumaMaker::take_buffer(int stride, int height) {
  const std::size_t size = static_cast<std::size_t>(stride) * static_cast<std::size_t>(height);
  if (!pool_ || pool_size_ != size) {
    pool_.reset(av_buffer_pool_init(size + AV_INPUT_BUFFER_PADDING_SIZE, nullptr));
    pool_size_ = size;
  }
  libav::Buffer buffer(pool_ ? av_buffer_pool_get(pool_.get()) : nullptr);
  if (!buffer) fail_memory();
  return buffer;
}

void LumaMaker::shift_down(
    const AVFrame& from, int plane_index, int bits, std::uint8_t* to, int stride) {
  for (int row = 0; row < from.height; ++row) {
    const auto* in = reinterpret_cast<const std::uint16_t*>(
        from.data[plane_index] + static_cast<std::ptrdiff_t>(row) * from.linesize[plane_index]);
    std::uint8_t* out = to + static_cast<std::ptrdiff_t>(row) * stride;
    for (int x = 0; x < from.width; ++x) out[x] = static_cast<std::uint8_t>(in[x] >> bits);
  }
}

void LumaMaker::convert(const AVFrame& from, std::uint8_t* to, int stride) {
  scaler_.reset(sws_getCachedContext(scaler_.release(),
                                     from.width,
                                     from.height,
                                     static_cast<AVPixelFormat>(from.format),
                                     from.width,
                                     from.height,
                                     AV_PIX_FMT_GRAY8,
                                     SWS_BILINEAR,
                                     nullptr,
                                     nullptr,
                                     nullptr));
  if (!scaler_) {
    throw Error(ErrorCode::kUnreadable,
                "",
                "its pixel format cannot be turned into grey levels",
                "Re-export the clip as H.264 in an MP4 file");
  }
  sws_scale(scaler_.get(), from.data, from.linesize, 0, from.height, &to, &stride);
}

}  // namespace kinetics
