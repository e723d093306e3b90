#pragma once

#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "libkinetics/tracking/circle_finder.h"
#include "libkinetics/tracking/rim.h"

/// What came of looking into circles, so that what looks as it did is not looked into again.
/// Internal.

namespace kinetics {

/// A circle, and the disc that it was found to be, if one.
struct JudgedCircle {
  Circle circle;
  std::optional<RimFit> disc;
  cv::Mat1b look;  ///< the picture around it
};

class JudgedCircles {
 public:
  /// What was said of a circle here, as long as the picture is the same around it; else null.
  [[nodiscard]] const JudgedCircle* find(const cv::Mat1b& picture, const Circle& circle) const;
  void keep(const cv::Mat1b& picture, const Circle& circle, const std::optional<RimFit>& disc);

 private:
  std::vector<JudgedCircle> judged_;
};

}  // namespace kinetics
