// The eight ways to show a picture, against the geometry of the display matrix itself: a stored
// point (p, q) is shown at (a p + c q, b p + d q), x right and y down (ISO/IEC 14496-12, track
// header; from memory).
#include "libkinetics/media/orientation.h"

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

using namespace kinetics;

namespace {

constexpr std::int32_t kOne = 1 << 16;

std::array<std::int32_t, 9> matrix(int a, int b, int c, int d) {
  return {a * kOne, b * kOne, 0, c * kOne, d * kOne, 0, 0, 0, 1 << 30};
}

}  // namespace

TEST_CASE("every stored pixel lands where the display matrix sends it", "[media][orientation]") {
  const auto [a, b, c, d] = GENERATE(table<int, int, int, int>({{1, 0, 0, 1},
                                                                {-1, 0, 0, 1},
                                                                {1, 0, 0, -1},
                                                                {-1, 0, 0, -1},
                                                                {0, 1, 1, 0},
                                                                {0, 1, -1, 0},
                                                                {0, -1, 1, 0},
                                                                {0, -1, -1, 0}}));
  CAPTURE(a, b, c, d);
  const int width = 5;
  const int height = 3;
  const int stride = 8;
  std::vector<std::uint8_t> plane(static_cast<std::size_t>(stride * height));
  for (std::size_t i = 0; i < plane.size(); ++i) plane[i] = static_cast<std::uint8_t>(i);

  const Orientation o = orientation_of(matrix(a, b, c, d));
  const LumaView view = view_of(plane.data(), stride, width, height, o);

  // The matrix turns about the corner; the picture is then moved back to start at (0, 0).
  const int x0 = std::min(0, a * (width - 1) + c * (height - 1));
  const int y0 = std::min(0, b * (width - 1) + d * (height - 1));
  REQUIRE(view.width == std::abs(a) * width + std::abs(c) * height);
  REQUIRE(view.height == std::abs(b) * width + std::abs(d) * height);
  for (int q = 0; q < height; ++q) {
    for (int p = 0; p < width; ++p) {
      const int x = a * p + c * q - x0;
      const int y = b * p + d * q - y0;
      CHECK(view.at(x, y) == plane[static_cast<std::size_t>(q * stride + p)]);
    }
  }
  CHECK(orientation_of(rotation_deg(o), mirrored(o)) == o);
}

TEST_CASE("a plain clockwise turn is named by its angle", "[media][orientation]") {
  const int angle_deg = GENERATE(0, 90, 180, 270);
  const double angle = angle_deg * std::numbers::pi / 180.0;
  const int cosine = static_cast<int>(std::lround(std::cos(angle)));
  const int sine = static_cast<int>(std::lround(std::sin(angle)));
  const Orientation o = orientation_of(matrix(cosine, sine, -sine, cosine));
  CHECK(rotation_deg(o) == angle_deg);
  CHECK_FALSE(mirrored(o));
  const Orientation mirror_first = orientation_of(matrix(-cosine, -sine, -sine, cosine));
  CHECK(rotation_deg(mirror_first) == angle_deg);
  CHECK(mirrored(mirror_first));
}

TEST_CASE("rows read downwards in the sensor are read sideways in a turned picture",
          "[media][orientation]") {
  CHECK(readout_of(orientation_of(0, false)) == ReadoutDirection::kDown);
  CHECK(readout_of(orientation_of(180, false)) == ReadoutDirection::kUp);
  // Turned clockwise, what was on top is on the right: the first rows read are on the right.
  CHECK(readout_of(orientation_of(90, false)) == ReadoutDirection::kLeft);
  CHECK(readout_of(orientation_of(270, false)) == ReadoutDirection::kRight);
  CHECK(readout_of(orientation_of(0, true)) == ReadoutDirection::kDown);
}

TEST_CASE("a turn of 30 degrees is not exact, one of 91 is", "[media][orientation]") {
  const auto turned = [](double degrees) {
    const double angle = degrees * std::numbers::pi / 180.0;
    const auto fixed = [](double v) { return static_cast<std::int32_t>(std::lround(v * kOne)); };
    const std::array<std::int32_t, 9> m{fixed(std::cos(angle)),
                                        fixed(std::sin(angle)),
                                        0,
                                        fixed(-std::sin(angle)),
                                        fixed(std::cos(angle)),
                                        0,
                                        0,
                                        0,
                                        1 << 30};
    return orientation_of(m);
  };
  CHECK_FALSE(turned(30.0).exact);
  CHECK(turned(91.0).exact);
  CHECK(rotation_deg(turned(91.0)) == 90);
  CHECK(orientation_of(std::array<std::int32_t, 9>{}) == Orientation{});
}
