#include "libkinetics/tracking/judged_circles.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace kinetics {
namespace {

constexpr double kSamePlacePx = 1.5;
constexpr double kSameSize = 0.10;
/// The rim and what stands around it, in radii.
constexpr double kAround = 1.3;
/// Coding noise of a shrunken picture changes its pixels by some 1 grey level on average.
constexpr double kSameGrey = 2.5;
constexpr std::size_t kMost = 64;

cv::Mat1b look_of(const cv::Mat1b& picture, const Circle& circle) {
  const double reach = kAround * circle.radius_px;
  const cv::Rect area(static_cast<int>(circle.x_px - reach),
                      static_cast<int>(circle.y_px - reach),
                      static_cast<int>(2.0 * reach) + 1,
                      static_cast<int>(2.0 * reach) + 1);
  return picture(area & cv::Rect(0, 0, picture.cols, picture.rows));
}

bool same_circle(const Circle& a, const Circle& b) {
  return std::hypot(a.x_px - b.x_px, a.y_px - b.y_px) < kSamePlacePx &&
         std::abs(std::log(a.radius_px / b.radius_px)) < kSameSize;
}

}  // namespace

const JudgedCircle* JudgedCircles::find(const cv::Mat1b& picture, const Circle& circle) const {
  for (const JudgedCircle& j : judged_) {
    if (!same_circle(j.circle, circle)) continue;
    const cv::Mat1b now = look_of(picture, j.circle);
    const auto pixels = static_cast<double>(now.total());
    if (cv::norm(now, j.look, cv::NORM_L1) < kSameGrey * pixels) return &j;
  }
  return nullptr;
}

void JudgedCircles::keep(const cv::Mat1b& picture,
                         const Circle& circle,
                         const std::optional<RimFit>& disc) {
  std::erase_if(judged_, [&](const JudgedCircle& j) { return same_circle(j.circle, circle); });
  if (judged_.size() >= kMost) judged_.erase(judged_.begin());
  judged_.push_back({circle, disc, look_of(picture, circle).clone()});
}

}  // namespace kinetics
