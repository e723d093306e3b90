#pragma once

#include <memory>

#include "libkinetics/media/libav.h"
#include "libkinetics/media/orientation.h"

/// Private to this room: a decoded picture and its 8-bit luma, alive as long as someone looks.

namespace kinetics {

/// What Frame::pixels points to.
struct HeldPicture {
  libav::Picture picture;  ///< as decoded, in its own pixel format
  libav::Buffer luma;      ///< 8-bit luma, only when the decoder's own plane would not do
};

/// Gives each picture's luma as 8 bits. Keeps buffers to use again.
///
/// 8-bit planar YUV and grey are looked at in place. Deeper planes lose their low bits in one pass.
/// Anything else goes through libswscale. Limited-range luma is left as it is.
class LumaMaker {
 public:
  /// Takes `picture`; sets `view` to its luma as displayed.
  std::shared_ptr<const HeldPicture> hold(libav::Picture picture,
                                          const Orientation& orientation,
                                          LumaView& view);

 private:
  libav::Buffer take_buffer(int stride, int height);
  void shift_down(const AVFrame& from, int plane_index, int bits, std::uint8_t* to, int stride);
  void convert(const AVFrame& from, std::uint8_t* to, int stride);

  libav::Pool pool_;
  std::size_t pool_size_ = 0;
  libav::Scaler scaler_;
};

}  // namespace kinetics
