#include "libkinetics/tracking/local_contrast.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <vector>

#include <opencv2/imgproc.hpp>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

/// Smoothing: noise falls with its square, an edge's slope with itself. A rim is some tens of
/// pixels across, which bounds it.
constexpr double kSmoothPx = 1.6;
/// What counts as the surroundings, as a share of the picture's short side: about half a disc.
constexpr double kAroundShare = 0.06;
/// The noise left may be so many grey levels; an edge of three times that is found.
constexpr double kNoiseLevels = 3.0;
constexpr double kMostGain = 8.0;
/// Coding may leave hardly any noise, and steps of whole grey levels.
constexpr double kLeastNoise = 0.3;

/// Noise of the smoothed picture, grey levels: the median step to a place two smoothings away. Most
/// of a gym is flat.
double noise_of(const cv::Mat1f& smooth) {
  constexpr int kApart = 5;
  constexpr int kEvery = 7;
  std::vector<double> steps;
  for (int y = 0; y < smooth.rows; y += kEvery) {
    const float* row = smooth[y];
    for (int x = 0; x + kApart < smooth.cols; x += kEvery) {
      steps.push_back(std::abs(static_cast<double>(row[x + kApart]) - row[x]));
    }
  }
  if (steps.empty()) return kLeastNoise;
  return std::max(kLeastNoise, median_of(std::move(steps)) / 0.6745 / std::sqrt(2.0));
}

}  // namespace

Frame local_contrast_of(const Frame& frame) {
  constexpr double kGrey = 128.0;
  const LumaView& luma = frame.luma;
  cv::Mat1f smooth;
  copy_of(luma, {0, 0, luma.width, luma.height}).convertTo(smooth, CV_32F);
  cv::GaussianBlur(smooth, smooth, {0, 0}, kSmoothPx);
  const double gain = std::min(kMostGain, kNoiseLevels / noise_of(smooth));
  const int around = 2 * static_cast<int>(kAroundShare * std::min(luma.width, luma.height)) + 1;
  cv::Mat1f mean;
  cv::boxFilter(smooth, mean, CV_32F, {around, around});
  const auto plain = std::make_shared<cv::Mat1b>();
  cv::Mat1f(smooth - mean).convertTo(*plain, CV_8U, gain, kGrey);
  Frame result = frame;
  result.luma = {.origin = plain->ptr(0),
                 .width = plain->cols,
                 .height = plain->rows,
                 .step_x = 1,
                 .step_y = static_cast<std::ptrdiff_t>(plain->step1())};
  result.pixels = plain;
  return result;
}

}  // namespace kinetics
