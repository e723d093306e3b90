#include "libkinetics/sensor/range_watch.h"

#include <algorithm>

namespace kinetics::sensor_detail {
namespace {

// The narrowest ranges in use are ±2 g and ±125 deg/s; less some per cent of scale and offset.
constexpr float kLeastAccel_mps2 = 1.8F * 9.80665F;
constexpr float kLeastRate_radps = 1.9F;

float least_of(std::size_t side) {
  return side < 6 ? kLeastAccel_mps2 : kLeastRate_radps;
}

float reading(const SensorSample& sample, std::size_t side) {
  const auto axis = static_cast<Eigen::Index>(side / 2 % 3);
  const float value = side < 6 ? sample.accel_mps2[axis] : sample.rate_radps[axis];
  return side % 2 == 0 ? value : -value;
}

}  // namespace

void RangeWatch::watch(Side& side, float value) {
  if (value < side.extreme) {
    side.run = 0;
    if (value > 0.9F * side.extreme) ++side.near;
  } else if (value > side.extreme) {
    side = Side{.extreme = value, .at = 1, .near = 0, .run = 1, .longest = 1};
  } else {
    ++side.at;
    side.longest = std::max(side.longest, ++side.run);
  }
}

bool RangeWatch::is_end(const Side& side, float least) {
  return side.extreme > least && side.at >= 3 && side.longest >= 2 && side.at > side.near;
}

void RangeWatch::watch(std::span<const SensorSample> samples) {
  for (const SensorSample& sample : samples) {
    for (std::size_t side = 0; side < sides_.size(); ++side) {
      watch(sides_[side], reading(sample, side));
    }
  }
}

std::size_t RangeWatch::mark(std::span<SensorSample> samples) const {
  std::array<std::size_t, 12> ends{};
  std::size_t count = 0;
  for (std::size_t side = 0; side < sides_.size(); ++side) {
    if (is_end(sides_[side], least_of(side))) ends[count++] = side;
  }
  if (count == 0) return 0;
  std::size_t marked = 0;
  for (SensorSample& sample : samples) {
    for (std::size_t i = 0; i < count; ++i) {
      if (reading(sample, ends[i]) >= sides_[ends[i]].extreme) sample.clipped = true;
    }
    if (sample.clipped) ++marked;
  }
  return marked;
}

double RangeWatch::accel_range_mps2() const {
  double least = 0.0;
  for (std::size_t side = 0; side < 6; ++side) {
    if (!is_end(sides_[side], least_of(side))) continue;
    least = least == 0.0 ? sides_[side].extreme : std::min<double>(least, sides_[side].extreme);
  }
  return least;
}

double RangeWatch::rate_range_radps() const {
  double least = 0.0;
  for (std::size_t side = 6; side < 12; ++side) {
    if (!is_end(sides_[side], least_of(side))) continue;
    least = least == 0.0 ? sides_[side].extreme : std::min<double>(least, sides_[side].extreme);
  }
  return least;
}

}  // namespace kinetics::sensor_detail
