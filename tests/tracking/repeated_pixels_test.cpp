// Pictures made pixel by pixel: what is a copy is known.
#include <cstdint>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/tracking/gather_discs.h"

using namespace kinetics;

namespace {

constexpr int kWidth = 640;
constexpr int kHeight = 360;

/// A patch that covers a tenth of the picture, at `at`, and some pixels that coding changed.
std::vector<std::uint8_t> picture_with(int at, int changed, std::mt19937& engine) {
  std::vector<std::uint8_t> out(kWidth * kHeight, 120);
  for (int y = 100; y < 250; ++y) {
    for (int x = at; x < at + 150; ++x) out[static_cast<std::size_t>(y * kWidth + x)] = 30;
  }
  std::uniform_int_distribution<std::size_t> any(0, out.size() - 1);
  for (int k = 0; k < changed; ++k) out[any(engine)] += 1;
  return out;
}

LumaView view_of(const std::vector<std::uint8_t>& pixels) {
  return {
      .origin = pixels.data(), .width = kWidth, .height = kHeight, .step_x = 1, .step_y = kWidth};
}

}  // namespace

TEST_CASE("copies among changing pictures are told, coded anew or not", "[copies]") {
  std::mt19937 engine(3);
  const int changed = GENERATE(0, 2000);
  RepeatedPixels repeats;
  int missed = 0;
  for (int i = 0; i < 40; ++i) {
    const Copy fresh = repeats.same_as_last(view_of(picture_with(50 + 8 * i, changed, engine)));
    const Copy again = repeats.same_as_last(view_of(picture_with(50 + 8 * i, changed, engine)));
    CHECK(fresh == Copy::kNo);
    if (i > 2) missed += again == (changed == 0 ? Copy::kExact : Copy::kPerhaps) ? 0 : 1;
  }
  CHECK(missed == 0);
}

TEST_CASE("a scene that has come to rest is taken for a copy three times at most", "[copies]") {
  std::mt19937 engine(4);
  RepeatedPixels repeats;
  for (int i = 0; i < 20; ++i) {
    CHECK(repeats.same_as_last(view_of(picture_with(50 + 8 * i, 2000, engine))) == Copy::kNo);
  }
  int in_a_row = 0;
  for (int i = 0; i < 20; ++i) {
    const Copy copy = repeats.same_as_last(view_of(picture_with(202, 2000, engine)));
    in_a_row = copy == Copy::kNo ? 0 : in_a_row + 1;
    CHECK(in_a_row <= 3);
  }
}
