#include "libkinetics/sensor/rate_track.h"

#include <cmath>

#include <fmt/format.h>

namespace kinetics::sensor_detail {
namespace {

// Over a longer hole a rate says nothing about what lies between.
constexpr double kLongestHole_s = 0.25;
// Beyond its ends a rate holds for a few rows.
constexpr double kEdge_s = 0.1;
// Two logs of one set begin within this of one another.
constexpr double kApart_s = 60.0;

}  // namespace

void RateTrack::add(double t_s, const Eigen::Vector3f& rate_radps) {
  t_s_.push_back(t_s);
  rate_radps_.push_back(rate_radps);
}

void RateTrack::align(ClockKind own, ClockKind other, double first_other_s, Notes& notes) {
  const double apart_s = first_other_s - first_s();
  const bool near = first_other_s > first_s() - kApart_s && first_other_s < last_s();
  if (own == other && own != ClockKind::kRows && near) return;
  if (own == ClockKind::kWall && other == ClockKind::kWall) {
    // Local time in one and UTC in the other: whole quarters of an hour.
    const double quarters_s = 900.0 * std::round(apart_s / 900.0);
    if (std::abs(apart_s - quarters_s) > kApart_s || std::abs(quarters_s) > 15.0 * 3600.0) return;
    offset_s_ = quarters_s;
    notes.push_back(
        {NoteKind::kCaution,
         fmt::format("The clocks of acceleration and rotation rate are {:g} h apart, as "
                     "time zones are: that was taken off.",
                     quarters_s / 3600.0)});
    return;
  }
  offset_s_ = apart_s;
  notes.push_back({NoteKind::kCaution,
                   "The files of acceleration and rotation rate count time from different starts: "
                   "they are taken to begin at the same moment. If they do not, put both on one "
                   "clock."});
}

std::optional<Eigen::Vector3f> RateTrack::at(double t_s) {
  const double own_s = t_s - offset_s_;
  while (next_ < t_s_.size() && t_s_[next_] < own_s) ++next_;
  if (next_ == t_s_.size()) {
    if (own_s - t_s_.back() > kEdge_s) return std::nullopt;
    return rate_radps_.back();
  }
  if (t_s_[next_] == own_s) return rate_radps_[next_];
  if (next_ == 0) {
    if (t_s_.front() - own_s > kEdge_s) return std::nullopt;
    return rate_radps_.front();
  }
  const double hole_s = t_s_[next_] - t_s_[next_ - 1];
  if (hole_s > kLongestHole_s) return std::nullopt;
  const auto part = static_cast<float>((own_s - t_s_[next_ - 1]) / hole_s);
  return (1.0F - part) * rate_radps_[next_ - 1] + part * rate_radps_[next_];
}

}  // namespace kinetics::sensor_detail
