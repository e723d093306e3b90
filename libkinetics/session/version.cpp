#include "libkinetics/session/version.h"

#include <string>

#include <Eigen/Core>
#include <fmt/format.h>
#include <opencv2/core/utility.hpp>

extern "C" {
#include <libavutil/avutil.h>
}

namespace kinetics {

std::string_view version() {
  return KINETICS_VERSION;
}

std::string library_versions() {
  return fmt::format("FFmpeg {}, OpenCV {}, Eigen {}.{}.{}",
                     av_version_info(),
                     cv::getVersionString(),
                     EIGEN_WORLD_VERSION,
                     EIGEN_MAJOR_VERSION,
                     EIGEN_MINOR_VERSION);
}

}  // namespace kinetics
