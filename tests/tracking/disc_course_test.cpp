// The filter against weighted least squares: with no noise of motion a Kalman filter is recursive
// least squares (R. E. Kalman, J. Basic Eng. 82, 1960; Y. Bar-Shalom et al., Estimation with
// Applications to Tracking and Navigation, 2001, ch. 3). The course against motions put in.
#include "libkinetics/tracking/disc_course.h"

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <Eigen/Dense>
#include <catch2/catch.hpp>

using kinetics::CoordinateFilter;
using kinetics::DiscCourse;
using kinetics::Sighted;

namespace {

constexpr double kPxPerM = 240.0;
constexpr double kNoisePx = 0.05;

/// Rises and descents of 0.5 m in 2 s each way, seen 30 times a second; `taken_s` tells when the
/// picture stamped with a time was taken.
template <typename TakenAt>
DiscCourse course_of(TakenAt taken_s) {
  std::mt19937 engine(11);
  std::normal_distribution<double> noise(0.0, kNoisePx);
  const auto seen = [&](int i) {
    const double y_m = 0.25 * std::cos(2.0 * std::numbers::pi * taken_s(i) / 2.0);
    return Sighted{i / 30.0, noise(engine), kPxPerM * y_m + noise(engine), kNoisePx, kNoisePx};
  };
  DiscCourse course;
  course.start(seen(0), kPxPerM);
  for (int i = 1; i < 240; ++i) {
    course.predict(1.0 / 30.0, kPxPerM);
    course.take_up(seen(i), kPxPerM);
  }
  return course;
}

}  // namespace

TEST_CASE("a filter without noise of motion is weighted least squares", "[tracking]") {
  const std::vector<double> t_s{0.04, 0.07, 0.11, 0.2, 0.21};
  const std::vector<double> seen{1.3, 2.1, 2.2, 4.9, 5.3};
  const std::vector<double> sigma{0.5, 0.1, 0.3, 0.2, 0.4};
  CoordinateFilter filter;
  filter.restart(1.0, 0.3, 20.0, 90.0);
  double before_s = 0.0;
  // Unknown: place, velocity and acceleration at the start, with the same prior.
  Eigen::Matrix3d normal = Eigen::Vector3d(1 / 0.09, 1 / 400.0, 1 / 8100.0).asDiagonal();
  Eigen::Vector3d right(1.0 / 0.09, 0.0, 0.0);
  for (std::size_t i = 0; i < t_s.size(); ++i) {
    filter.predict(t_s[i] - before_s, 0.0);
    filter.update(seen[i], sigma[i]);
    before_s = t_s[i];
    const Eigen::Vector3d row(1.0, t_s[i], 0.5 * t_s[i] * t_s[i]);
    normal += row * row.transpose() / (sigma[i] * sigma[i]);
    right += row * seen[i] / (sigma[i] * sigma[i]);
  }
  const Eigen::Vector3d solved = normal.ldlt().solve(right);
  const Eigen::Vector3d last(1.0, t_s.back(), 0.5 * t_s.back() * t_s.back());
  CHECK(filter.value() == Approx(last.dot(solved)).epsilon(1e-9));
  CHECK(filter.velocity() == Approx(solved(1) + t_s.back() * solved(2)).epsilon(1e-9));
  CHECK(filter.sigma() == Approx(std::sqrt(last.dot(normal.inverse() * last))).epsilon(1e-9));
}

TEST_CASE("pictures of true times seem to stray little", "[tracking]") {
  const DiscCourse course = course_of([](int i) { return i / 30.0; });
  CHECK(course.slip_s() < 0.2 / 30.0);
}

TEST_CASE("pictures off their times by turns are seen to stray, and the course holds",
          "[tracking]") {
  const double off_s = GENERATE(0.004, 0.008, 0.012);
  const auto taken_s = [&](int i) { return i / 30.0 + (i % 2 == 0 ? off_s : -off_s); };
  DiscCourse course = course_of(taken_s);
  CHECK(course.slip_s() > off_s);
  CHECK(course.slip_s() < 0.6 / 30.0 + 1e-9);
  // The next picture, at three quarters of the way: the bar moves by 6 px a frame there.
  for (int i = 240; i < 285; ++i) {
    course.predict(1.0 / 30.0, kPxPerM);
    const double y = kPxPerM * 0.25 * std::cos(std::numbers::pi * taken_s(i));
    CHECK(std::abs(course.centre().y() - y) < 5.0);
    course.take_up({i / 30.0, 0.0, y, kNoisePx, kNoisePx}, kPxPerM);
  }
}

TEST_CASE("a course that was elsewhere all the time goes on from there", "[tracking]") {
  DiscCourse course = course_of([](int i) { return i / 30.0; });
  const Eigen::Vector2d before = course.centre();
  const double speed = course.speed_px_per_s();
  course.shift({3.0, -2.0});
  CHECK((course.centre() - before - Eigen::Vector2d(3.0, -2.0)).norm() < 1e-12);
  CHECK(course.speed_px_per_s() == speed);
}

TEST_CASE("a hidden disc loses its speed and never goes faster than a bar", "[tracking]") {
  DiscCourse course;
  course.start({0.0, 0.0, 0.0, kNoisePx, kNoisePx}, kPxPerM);
  for (int i = 1; i < 20; ++i) {
    course.predict(1.0 / 30.0, kPxPerM);
    course.take_up({i / 30.0, 0.0, 6.0 * kPxPerM * i / 30.0, kNoisePx, kNoisePx}, kPxPerM);
  }
  CHECK(course.speed_px_per_s() > 4.0 * kPxPerM);
  course.fade(1.0, kPxPerM);
  CHECK(course.speed_px_per_s() <= 1.5 * kPxPerM * 1.0001);
}
