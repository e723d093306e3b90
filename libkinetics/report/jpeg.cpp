#include "libkinetics/report/jpeg.h"

#include <memory>

#include <turbojpeg.h>

#include "libkinetics/core/error.h"

namespace kinetics {

// Not by OpenCV: its readers and writers of pictures bring some sixty libraries along, which take
// 0.1 s to load at every start of the program.
std::string to_jpeg(const ColourPicture& picture, int quality) {
  struct Close {
    void operator()(void* coder) const { tjDestroy(coder); }
  };
  struct Free {
    void operator()(unsigned char* bytes) const { tjFree(bytes); }
  };
  const std::unique_ptr<void, Close> coder(tjInitCompress());
  unsigned char* made = nullptr;
  unsigned long size = 0;
  const bool good = coder && tjCompress2(coder.get(),
                                         picture.bgr.data(),
                                         picture.width_px,
                                         0,
                                         picture.height_px,
                                         TJPF_BGR,
                                         &made,
                                         &size,
                                         TJSAMP_420,
                                         quality,
                                         0) == 0;
  const std::unique_ptr<unsigned char, Free> bytes(made);
  if (!good) {
    throw Error(ErrorCode::kInternal, "picture", "it could not be coded", "Close other programs");
  }
  return {bytes.get(), bytes.get() + size};
}

}  // namespace kinetics
