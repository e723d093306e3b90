#include "libkinetics/media/chroma.h"

extern "C" {
#include <libavutil/pixdesc.h>
}

#include "libkinetics/core/error.h"
#include "libkinetics/media/held_picture.h"

namespace kinetics {

std::optional<ChromaViews> chroma_of(const Frame& frame, const ClipInfo& info) {
  KINETICS_ASSERT(frame.pixels != nullptr);
  const AVFrame& from = *static_cast<const HeldPicture*>(frame.pixels.get())->picture;
  const AVPixFmtDescriptor& format = *av_pix_fmt_desc_get(static_cast<AVPixelFormat>(from.format));
  constexpr std::uint64_t kNoPlanes = AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL |
                                      AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL |
                                      AV_PIX_FMT_FLAG_BAYER | AV_PIX_FMT_FLAG_FLOAT;
  if ((format.flags & kNoPlanes) || format.nb_components < 3) return std::nullopt;
  const Orientation orientation = orientation_of(info.rotation_deg, info.mirrored);
  // A colour sample stands for the luma samples it covers; an odd one out at the edge has its own.
  const int width = AV_CEIL_RSHIFT(from.width, format.log2_chroma_w);
  const int height = AV_CEIL_RSHIFT(from.height, format.log2_chroma_h);
  ChromaViews views;
  for (const auto& [part, view] : {std::pair{1, &views.blue}, std::pair{2, &views.red}}) {
    const AVComponentDescriptor& c = format.comp[part];
    if (c.depth != 8 || c.step != 1 || c.shift != 0) return std::nullopt;
    *view = view_of(from.data[c.plane], from.linesize[c.plane], width, height, orientation);
  }
  return views;
}

}  // namespace kinetics
