#include "libkinetics/report/jpeg.h"

#include <vector>

#include <opencv2/imgcodecs.hpp>

#include "libkinetics/core/error.h"

namespace kinetics {

std::string to_jpeg(const ColourPicture& picture, int quality) {
  // OpenCV only looks at the pixels here, but has no view of constant ones.
  const cv::Mat view(
      picture.height_px, picture.width_px, CV_8UC3, const_cast<std::uint8_t*>(picture.bgr.data()));
  std::vector<std::uint8_t> bytes;
  if (!cv::imencode(".jpg", view, bytes, {cv::IMWRITE_JPEG_QUALITY, quality})) {
    throw Error(ErrorCode::kInternal, "picture", "it could not be coded", "Close other programs");
  }
  return {bytes.begin(), bytes.end()};
}

}  // namespace kinetics
