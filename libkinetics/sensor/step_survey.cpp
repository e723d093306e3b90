#include "libkinetics/sensor/step_survey.h"

#include <cmath>
#include <numbers>
#include <utility>

#include "libkinetics/core/median.h"

namespace kinetics::sensor_detail {
namespace {

constexpr std::size_t kMostKept = std::size_t{1} << 16U;
constexpr double kHole = 3.5;

}  // namespace

void StepSurvey::add(double t_s) {
  if (rows_++ > 0) {
    const double step_s = t_s - previous_s_;
    if (pace_s_ > 0.0 && step_s > kHole * pace_s_) {
      ++holes_;
      if (step_s > longest_s_) {
        longest_s_ = step_s;
        longest_at_s_ = previous_s_;
      }
    }
    if (rows_ % stride_ == 0) kept_.push_back(step_s);
    if (kept_.size() == kMostKept) {
      // Every second of them, and from here on half as many.
      for (std::size_t i = 0; i < kMostKept / 2; ++i) kept_[i] = kept_[2 * i];
      kept_.resize(kMostKept / 2);
      stride_ *= 2;
    }
  }
  previous_s_ = t_s;
}

double StepSurvey::middle_s() const {
  const double middle_s = median_of(kept_);
  double sum_s = 0.0;
  std::size_t near = 0;
  for (const double step_s : kept_) {
    if (std::abs(step_s - middle_s) > 0.25 * middle_s) continue;
    sum_s += step_s;
    ++near;
  }
  return near == 0 ? middle_s : sum_s / static_cast<double>(near);
}

double StepSurvey::jitter_s() const {
  const double middle_s = this->middle_s();
  std::vector<double> off = kept_;
  for (double& step_s : off) step_s = std::abs(step_s - middle_s);
  return median_of(std::move(off)) / 0.6745 / std::numbers::sqrt2;
}

}  // namespace kinetics::sensor_detail
