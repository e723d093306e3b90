#include "tests/tools/disc_clip.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/media/made_clip.h"

namespace kinetics_test {
namespace {

constexpr int kWidth = 480;
constexpr int kHeight = 360;
constexpr double kRadiusPx = 54.0;  // 0.225 m, so 240 px are a metre
constexpr double kRisePx = 0.6 * kRadiusPx / 0.225;
constexpr double kRateHz = 30.0;
constexpr double kCycleS = 2.8;  // a second down, a little rest, a second up, a little rest

double minimum_jerk(double s) {
  s = std::clamp(s, 0.0, 1.0);
  return s * s * s * (10.0 - 15.0 * s + 6.0 * s * s);
}

/// How far below its place at rest the disc is, px.
double depth_px(double t_s, int reps) {
  const double since = t_s - 1.0;
  if (since < 0.0 || since >= kCycleS * reps) return 0.0;
  const double phase = std::fmod(since, kCycleS);
  return kRisePx * (minimum_jerk(phase) - minimum_jerk(phase - 1.4));
}

/// A wall of still blotches, so that the background has something to hold on to.
std::vector<double> wall() {
  std::mt19937 random(7);
  std::vector<double> luma(kWidth * kHeight, 150.0);
  for (int blotch = 0; blotch < 150; ++blotch) {
    const double cx = static_cast<double>(random() % kWidth);
    const double cy = static_cast<double>(random() % kHeight);
    const double size = 3.0 + static_cast<double>(random() % 6);
    const double lift = static_cast<double>(random() % 160) - 80.0;
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) {
        const double r2 = ((x - cx) * (x - cx) + (y - cy) * (y - cy)) / (size * size);
        if (r2 < 9.0) luma[static_cast<std::size_t>(y * kWidth + x)] += lift * std::exp(-r2);
      }
    }
  }
  return luma;
}

void draw(std::vector<std::uint8_t>& picture,
          const std::vector<double>& background,
          double centre_y,
          std::mt19937& random) {
  std::normal_distribution<double> noise(0.0, 2.0);
  const double centre_x = 0.5 * kWidth;
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      const auto i = static_cast<std::size_t>(y * kWidth + x);
      const double r = std::hypot(x - centre_x, y - centre_y);
      const double inside = std::clamp(kRadiusPx + 0.5 - r, 0.0, 1.0);  // a one-pixel soft edge
      const double disc = r < 0.12 * kRadiusPx ? 190.0 : 45.0;          // the sleeve shines
      const double luma = background[i] * (1.0 - inside) + disc * inside + noise(random);
      picture[i] = static_cast<std::uint8_t>(std::clamp(luma, 0.0, 255.0));
    }
  }
}

}  // namespace

void write_disc_clip(const std::string& path, int reps) {
  const std::string command =
      "ffmpeg -nostdin -v error -y -f rawvideo -pix_fmt gray -s 480x360 -r 30 -i - "
      "-c:v mpeg4 -q:v 2 -pix_fmt yuv420p '" +
      path + "'";
  FILE* const pipe = ::popen(command.c_str(), "w");
  if (pipe == nullptr) throw std::runtime_error("cannot run ffmpeg");
  const std::vector<double> background = wall();
  std::vector<std::uint8_t> picture(background.size());
  std::mt19937 random(11);
  const int frames = static_cast<int>(kRateHz * (2.0 + kCycleS * reps));
  for (int i = 0; i < frames; ++i) {
    draw(picture, background, 110.0 + depth_px(i / kRateHz, reps), random);
    if (std::fwrite(picture.data(), 1, picture.size(), pipe) != picture.size()) break;
  }
  if (::pclose(pipe) != 0) throw std::runtime_error("ffmpeg could not write " + path);
}

const std::string& shared_disc_clip() {
  static const kinetics_test::Folder folder;
  static const std::string path = [] {
    std::string made = folder / "disc.mp4";
    write_disc_clip(made, 2);
    return made;
  }();
  return path;
}

}  // namespace kinetics_test
