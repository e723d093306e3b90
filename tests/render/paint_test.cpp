// Painted discs against the circle's own area and centre: the coverage is exact, so what is left is
// the rounding to whole grey levels and the polygon standing in for the circle.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "samples/render/canvas.h"
#include "samples/render/dice.h"

using Catch::Matchers::WithinAbs;

namespace {

struct Moments {
  double area = 0.0, x = 0.0, y = 0.0;
};

Moments moments_of(const render::Canvas& canvas, double ground, double ink) {
  Moments m;
  for (int r = 0; r < canvas.y.rows; ++r)
    for (int c = 0; c < canvas.y.cols; ++c) {
      const double w = (canvas.y(r, c) - ground) / (ink - ground);
      m.area += w, m.x += w * c, m.y += w * r;
    }
  m.x /= m.area, m.y /= m.area;
  return m;
}

render::Outline polygon(render::Pixel centre, double radius, int corners) {
  render::Outline out;
  for (int k = 0; k < corners; ++k) {
    const double a = 2.0 * std::numbers::pi * k / corners;
    out.push_back({centre.x + radius * std::cos(a), centre.y + radius * std::sin(a)});
  }
  return out;
}

}  // namespace

TEST_CASE("a painted disc has its centre and area to a few thousandths of a pixel", "[render]") {
  render::Dice dice(3);
  render::Brush brush;
  for (int draw = 0; draw < 40; ++draw) {
    render::Canvas canvas(320, 240);
    canvas.y = 20;
    const render::Pixel centre{dice.uniform(110.0, 200.0), dice.uniform(100.0, 140.0)};
    const double radius = dice.uniform(10.0, 90.0);
    CAPTURE(centre.x, centre.y, radius);
    brush.fill(canvas, polygon(centre, radius, 720), {.colour = {.y = 220.0}}, canvas.frame());
    const Moments m = moments_of(canvas, 20.0, 220.0);
    // Rounding of about 2πR rim pixels by up to half a level of 200, uniformly: sd of the centre
    // √(2πR/12)/200 · R/√2 / (πR²) < 0.001 px.
    CHECK_THAT(m.x, WithinAbs(centre.x, 0.004));
    CHECK_THAT(m.y, WithinAbs(centre.y, 0.004));
    CHECK_THAT(m.area / (std::numbers::pi * radius * radius), WithinAbs(1.0, 5e-4));
  }
}

TEST_CASE("a window leaves everything outside it alone and changes nothing inside", "[render]") {
  const cv::Rect window(60, 40, 90, 64);
  const render::Outline disc = polygon({100.3, 70.8}, 55.0, 200);
  render::Brush brush;
  render::Canvas whole(320, 240), part(320, 240);
  brush.fill(whole, disc, {.colour = {.y = 200.0}}, whole.frame());
  brush.fill(part, disc, {.colour = {.y = 200.0}}, window);
  for (int r = 0; r < 240; ++r)
    for (int c = 0; c < 320; ++c) {
      const int expected = window.contains({c, r}) ? whole.y(r, c) : 16;
      if (std::abs(part.y(r, c) - expected) > 1) FAIL("row " << r << ", column " << c);
    }
}

TEST_CASE("outlines far outside the picture do no harm", "[render]") {
  render::Brush brush;
  render::Canvas canvas(64, 48);
  brush.fill(canvas,
             {{-1e6, -1e6}, {1e6, -1e6}, {1e6, 1e6}, {-1e6, 1e6}},
             {.colour = {.y = 90.0}},
             canvas.frame());
  CHECK(canvas.y(0, 0) == 90);
  CHECK(canvas.y(47, 63) == 90);
}
