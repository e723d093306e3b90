// A thick disc with its sleeve, drawn by central projection: where the sleeve points to and what
// the front rim is are known in closed form (projection of the dual conic: R. Hartley, A.
// Zisserman, Multiple View Geometry, 2nd ed. 2004, section 8.2; from memory).
#include "libkinetics/tracking/sleeve.h"

#include <cmath>
#include <numbers>
#include <vector>

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "libkinetics/tracking/disc_finder.h"

namespace {

constexpr double kFocalPx = 1150.0;
constexpr int kWidth = 1280, kHeight = 720;
constexpr double kRadiusM = 0.225;
const Eigen::Vector3d kMiddle(0.1, 0.05, 3.2);  // of the front face; x right, y down, z ahead

/// The bar's frame in the camera's: across level, down, and the way the bar points to.
struct Bar {
  Eigen::Vector3d across, down, ahead;
};

Bar bar_seen(double off_rad, double from_above_rad) {
  const Eigen::Matrix3d turn = (Eigen::AngleAxisd(from_above_rad, Eigen::Vector3d::UnitX()) *
                                Eigen::AngleAxisd(off_rad, Eigen::Vector3d::UnitY()))
                                   .toRotationMatrix();
  return {turn.col(0), turn.col(1), turn.col(2)};
}

Eigen::Vector2d pixel(const Eigen::Vector3d& p) {
  return Eigen::Vector2d(0.5 * (kWidth - 1), 0.5 * (kHeight - 1)) + kFocalPx / p.z() * p.head<2>();
}

kinetics::Ellipse rim(const Bar& bar) {
  Eigen::Matrix3d plane;
  plane << bar.across, bar.down, kMiddle;
  const Eigen::Matrix3d map = Eigen::Vector3d(kFocalPx, kFocalPx, 1.0).asDiagonal() * plane;
  const Eigen::Vector3d circle(kRadiusM * kRadiusM, kRadiusM * kRadiusM, -1.0);
  Eigen::Matrix3d dual = map * circle.asDiagonal() * map.transpose();
  dual /= -dual(2, 2);
  const Eigen::Vector2d centre = -dual.topRightCorner<2, 1>();
  const Eigen::Matrix2d square = dual.topLeftCorner<2, 2>() + centre * centre.transpose();
  return {centre + pixel({0.0, 0.0, 1.0}),
          Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(square).operatorSqrt()};
}

class Drawing {
 public:
  explicit Drawing(const Bar& bar)
      : bar_(bar), fine_(kFiner * kHeight, kFiner * kWidth, std::uint8_t{140}) {}

  /// What lies between two circles about the bar, so far ahead of the face.
  Drawing& tube(double from_m, double to_m, double radius_m, int grey) {
    std::vector<cv::Point> corners;
    for (const double ahead_m : {from_m, to_m}) add_circle({0, 0}, radius_m, ahead_m, corners);
    std::vector<cv::Point> hull;
    cv::convexHull(corners, hull);
    return fill(hull, grey);
  }
  /// On the face; the place in metres, across and down.
  Drawing& circle(Eigen::Vector2d at_m, double radius_m, int grey) {
    std::vector<cv::Point> corners;
    add_circle(at_m, radius_m, 0.0, corners);
    return fill(corners, grey);
  }
  /// Valid until the next one.
  [[nodiscard]] kinetics::LumaView view() {
    cv::resize(fine_, picture_, {kWidth, kHeight}, 0.0, 0.0, cv::INTER_AREA);
    cv::GaussianBlur(picture_, picture_, {}, 0.8);
    return {picture_.ptr<std::uint8_t>(), kWidth, kHeight, 1, kWidth};
  }

 private:
  static constexpr int kFiner = 4;
  static constexpr int kFineBits = 6;

  void add_circle(Eigen::Vector2d at_m,
                  double radius_m,
                  double ahead_m,
                  std::vector<cv::Point>& corners) const {
    constexpr int kCorners = 240;
    for (int k = 0; k < kCorners; ++k) {
      const double a = 2.0 * std::numbers::pi * k / kCorners;
      const Eigen::Vector2d p =
          pixel(kMiddle + (at_m.x() + radius_m * std::cos(a)) * bar_.across +
                (at_m.y() + radius_m * std::sin(a)) * bar_.down + ahead_m * bar_.ahead);
      const Eigen::Vector2d fine = kFiner * p + Eigen::Vector2d::Constant(0.5 * (kFiner - 1));
      corners.emplace_back(cv::saturate_cast<int>(fine.x() * (1 << kFineBits)),
                           cv::saturate_cast<int>(fine.y() * (1 << kFineBits)));
    }
  }
  Drawing& fill(const std::vector<cv::Point>& corners, int grey) {
    cv::fillConvexPoly(fine_, corners, cv::Scalar(grey), cv::LINE_8, kFineBits);
    return *this;
  }

  Bar bar_;
  cv::Mat1b fine_;
  cv::Mat1b picture_;
};

/// A black disc 50 mm thick with a groove, on a steel sleeve of 0.36 m.
Drawing disc_on_sleeve(const Bar& bar) {
  Drawing drawing(bar);
  drawing.tube(0.0, 0.05, kRadiusM, 30)
      .circle({0, 0}, kRadiusM, 42)
      .circle({0, 0}, 0.24 * kRadiusM, 110);
  drawing.tube(-0.36, 0.0, 0.025, 125);
  return drawing;
}

double degrees(double rad) {
  return rad * 180.0 / std::numbers::pi;
}
double radians(double deg) {
  return deg * std::numbers::pi / 180.0;
}

}  // namespace

TEST_CASE("the sleeve across the face tells where the bar points to", "[tracking]") {
  for (const double off : {-28.0, -20.0, 20.0, 28.0}) {
    for (const double above : {0.0, 14.0}) {
      INFO(off << " degrees off, " << above << " from above");
      const Bar bar = bar_seen(radians(off), radians(above));
      Drawing drawing = disc_on_sleeve(bar);
      const auto way = kinetics::sleeve_direction(drawing.view(), rim(bar));
      REQUIRE(way);
      const Eigen::Vector2d expected =
          (pixel(kMiddle - 0.36 * bar.ahead) - pixel(kMiddle)).normalized();
      CHECK(degrees(std::acos(std::min(1.0, way->dot(expected)))) < 6.0);
    }
  }
}

TEST_CASE("no sleeve is made out square on, nor of a sticker", "[tracking]") {
  const Bar square = bar_seen(0.0, 0.0);
  CHECK_FALSE(kinetics::sleeve_direction(disc_on_sleeve(square).view(), rim(square)));
  const Bar off = bar_seen(radians(8.0), 0.0);
  CHECK_FALSE(kinetics::sleeve_direction(disc_on_sleeve(off).view(), rim(off)));
  Drawing marked = disc_on_sleeve(square);
  marked.circle({0.0, 0.45 * kRadiusM}, 0.03, 230);
  CHECK_FALSE(kinetics::sleeve_direction(marked.view(), rim(square)));
}

TEST_CASE("the front rim of a thick disc is found from above and far off square", "[tracking]") {
  for (const double off : {-28.0, 28.0}) {
    INFO(off << " degrees off");
    const Bar bar = bar_seen(radians(off), radians(14.0));
    const kinetics::Ellipse truth = rim(bar);
    // As the voting for circles leaves it: the outline's middle, or some way from it.
    const kinetics::Ellipse guess{pixel(kMiddle + 0.025 * bar.ahead) + Eigen::Vector2d(1.0, -4.0),
                                  0.98 * truth.mean_radius_px() * Eigen::Matrix2d::Identity()};
    const auto fit = kinetics::best_view(disc_on_sleeve(bar).view(),
                                         guess,
                                         {.search_px = 0.04 * guess.mean_radius_px() + 3.0,
                                          .shape_sigma_rel = 0.05,
                                          .min_rim_seen = 0.25});
    REQUIRE(fit);
    CHECK((fit->ellipse.centre - truth.centre).norm() < 0.5);
    CHECK((fit->ellipse.shape - truth.shape).cwiseAbs().maxCoeff() < 0.5);
    CHECK(fit->depth.value(1) * bar.ahead.x() > 0.0);
  }
}
