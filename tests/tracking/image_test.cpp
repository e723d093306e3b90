// Truth: bilinear interpolation and means of blocks worked out here, pixel by pixel.

#include "libkinetics/tracking/image.h"

#include <array>
#include <cstdint>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

namespace {

using namespace kinetics;

constexpr int kWidth = 62;
constexpr int kHeight = 41;

struct Noise {
  std::vector<std::uint8_t> pixels;
  LumaView view;
};

Noise noise() {
  Noise made;
  std::mt19937 random(7);
  for (int k = 0; k < kWidth * kHeight; ++k) {
    made.pixels.push_back(static_cast<std::uint8_t>(random() & 255U));
  }
  made.view = {made.pixels.data(), kWidth, kHeight, 1, kWidth};
  return made;
}

}  // namespace

TEST_CASE("a grey between pixels is the bilinear one at the nearest 256ths") {
  const Noise picture = noise();
  std::mt19937 random(11);
  std::uniform_real_distribution<float> x_px(0.0F, kWidth - 1.01F);
  std::uniform_real_distribution<float> y_px(0.0F, kHeight - 1.01F);
  for (int round = 0; round < 200; ++round) {
    FinePlaces places;
    std::array<float, FinePlaces::kCount> x{};
    std::array<float, FinePlaces::kCount> y{};
    for (int k = 0; k < FinePlaces::kCount; ++k) {
      const auto at = static_cast<std::size_t>(k);
      x[at] = x_px(random);
      y[at] = y_px(random);
      places.set(k, x[at], y[at]);
    }
    places.read(picture.view);
    for (int k = 0; k < FinePlaces::kCount; ++k) {
      const auto at = static_cast<std::size_t>(k);
      CHECK(places.grey(k) == grey_inside(picture.view, x[at], y[at]));
      const double right = static_cast<int>(x[at] * 256.0F + 0.5F) / 256.0;
      const double down = static_cast<int>(y[at] * 256.0F + 0.5F) / 256.0;
      const int left_px = static_cast<int>(right);
      const int top_px = static_cast<int>(down);
      const auto row = [&](int y_whole) {
        const double share = right - left_px;
        return (1.0 - share) * picture.view.at(left_px, y_whole) +
               share * picture.view.at(left_px + 1, y_whole);
      };
      const double share = down - top_px;
      const double expected = (1.0 - share) * row(top_px) + share * row(top_px + 1);
      CHECK(places.grey(k) == Approx(expected).margin(1e-4));
    }
  }
}

TEST_CASE("a small picture holds the rounded means of blocks, however the large one lies") {
  const Noise picture = noise();
  // Mirrored: its pixels are met from the right.
  const LumaView mirrored{picture.pixels.data() + kWidth - 1, kWidth, kHeight, -1, kWidth};
  for (const LumaView& view : {picture.view, mirrored}) {
    for (const int factor : {1, 2, 3, 4, 5}) {
      const cv::Mat1b small = shrink(view, factor);
      REQUIRE(small.cols == kWidth / factor);
      REQUIRE(small.rows == kHeight / factor);
      int wrong = 0;
      for (int y = 0; y < small.rows; ++y) {
        for (int x = 0; x < small.cols; ++x) {
          int sum = 0;
          for (int k = 0; k < factor * factor; ++k) {
            sum += view.at(x * factor + k % factor, y * factor + k / factor);
          }
          const int area = factor * factor;
          wrong += small(y, x) != (sum + area / 2) / area ? 1 : 0;
        }
      }
      CHECK(wrong == 0);
    }
  }
}
