#include "libkinetics/tracking/rim_rays.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include <Eigen/LU>

#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

/// Derivative of a Gaussian, normalised so that a ramp of slope 1 gives 1.
struct EdgeKernel {
  double sigma_px = 1.0;
  int radius = 3;
  std::vector<float> taps;
  double noise_gain = 0.0;  ///< by which white noise's sigma is multiplied

  explicit EdgeKernel(double sigma)
      : sigma_px(sigma), radius(static_cast<int>(std::ceil(2.5 * sigma))) {
    double slope = 0.0;
    for (int k = -radius; k <= radius; ++k) {
      const double tap = k * std::exp(-0.5 * k * k / (sigma * sigma));
      taps.push_back(static_cast<float>(tap));
      slope += tap * k;
    }
    double squares = 0.0;
    for (float& tap : taps) {
      tap = static_cast<float>(tap / slope);
      squares += static_cast<double>(tap) * tap;
    }
    noise_gain = std::sqrt(squares);
  }
};

const EdgeKernel& kernel_for_blur(double blur_px) {
  // A box blur of length b adds b²/12 of variance; half an octave between kernels is fine enough.
  static const std::array<EdgeKernel, 5> kernels{
      EdgeKernel(1.0), EdgeKernel(1.45), EdgeKernel(2.1), EdgeKernel(3.0), EdgeKernel(4.3)};
  if (blur_px == 0.0) return kernels[0];
  const double wanted = std::sqrt(1.0 + blur_px * blur_px / 12.0);
  std::size_t k = 0;
  while (k + 1 < kernels.size() && kernels[k + 1].sigma_px <= wanted * 1.2) ++k;
  return kernels[k];
}

constexpr int kFewestRays = 40;
constexpr int kMostRays = 128;

int ray_count(const Ellipse& ellipse) {
  // About one ray per 5 px of rim: nearer ones see the same noise.
  const double rim_px = 2.0 * std::numbers::pi * ellipse.mean_radius_px();
  return std::clamp(static_cast<int>(rim_px / 5.0), kFewestRays, kMostRays);
}

/// (cos φ, sin φ) of so many evenly spaced rays.
const std::vector<Vector2d>& directions_of(int count) {
  static const auto all = [] {
    std::array<std::vector<Vector2d>, kMostRays + 1> made;
    for (int n = kFewestRays; n <= kMostRays; ++n) {
      for (int i = 0; i < n; ++i) {
        const double phi = 2.0 * std::numbers::pi * i / n;
        made[static_cast<std::size_t>(n)].emplace_back(std::cos(phi), std::sin(phi));
      }
    }
    return made;
  }();
  return all[static_cast<std::size_t>(count)];
}

/// One a pixel from −reach to reach.
std::size_t places_within(int reach) {
  const int places = 2 * reach + 1;
  return static_cast<std::size_t>(places);
}

/// Grey values along a ray, one per pixel from −reach to reach, averaged over three places side by
/// side.
void sample_ray(const LumaView& picture,
                const Vector2d& rim,
                const Vector2d& normal,
                int reach,
                std::span<float> grey) {
  const auto nx = static_cast<float>(normal.x());
  const auto ny = static_cast<float>(normal.y());
  const auto x0 = static_cast<float>(rim.x());
  const auto y0 = static_cast<float>(rim.y());
  const auto sample = [&](const auto& grey_of) {
    for (int k = -reach; k <= reach; ++k) {
      const float x = x0 + static_cast<float>(k) * nx;
      const float y = y0 + static_cast<float>(k) * ny;
      const int place = k + reach;
      grey[static_cast<std::size_t>(place)] =
          (grey_of(x, y) + grey_of(x - ny, y + nx) + grey_of(x + ny, y - nx)) * (1.0F / 3.0F);
    }
  };
  // Nearly all rays lie well inside, where nothing need be clamped.
  const auto room = static_cast<float>(reach + 2 + FinePlaces::kCount);
  const bool inside = x0 > room && y0 > room && x0 < static_cast<float>(picture.width) - room - 1 &&
                      y0 < static_cast<float>(picture.height) - room - 1;
  if (!inside) {
    sample([&](float x, float y) { return grey_at(picture, x, y); });
    return;
  }
  if (picture.step_x != 1) {
    sample([&](float x, float y) { return grey_inside(picture, x, y); });
    return;
  }
  // Places first, then pixels, then greys, some at a time: so the compiler takes several at once.
  std::array<FinePlaces, 3> beside;
  for (int first = -reach; first <= reach; first += FinePlaces::kCount) {
    for (int j = 0; j < FinePlaces::kCount; ++j) {
      const float x = x0 + static_cast<float>(first + j) * nx;
      const float y = y0 + static_cast<float>(first + j) * ny;
      beside[0].set(j, x, y);
      beside[1].set(j, x - ny, y + nx);
      beside[2].set(j, x + ny, y - nx);
    }
    for (FinePlaces& places : beside) places.read(picture);
    std::array<float, FinePlaces::kCount> means;
    for (int j = 0; j < FinePlaces::kCount; ++j) {
      means[static_cast<std::size_t>(j)] =
          (beside[0].grey(j) + beside[1].grey(j) + beside[2].grey(j)) * (1.0F / 3.0F);
    }
    std::copy_n(means.begin(),
                std::min(FinePlaces::kCount, reach + 1 - first),
                grey.begin() + (first + reach));
  }
}

/// Keeps the strongest local maxima of |derivative| above `least`.
void find_edges(std::span<const float> grey,
                int reach,
                const EdgeKernel& kernel,
                double least,
                std::vector<float>& slope,
                RimRay& ray) {
  const int usable = reach - kernel.radius;
  slope.assign(places_within(usable), 0.0F);
  // Tap by tap, so that the compiler takes several places at once.
  const float* from = grey.data();
  for (const float tap : kernel.taps) {
    for (std::size_t k = 0; k < slope.size(); ++k) slope[k] += tap * from[k];
    ++from;
  }
  for (float& s : slope) s = std::abs(s);
  ray.count = 0;
  for (int k = 1; k + 1 < static_cast<int>(slope.size()); ++k) {
    const float* at = slope.data() + k;
    // Nearly everywhere one of these holds.
    if (at[0] < at[-1] || at[0] <= at[1] || at[0] < least) continue;
    const double before = at[-1];
    const double here = at[0];
    const double after = at[1];
    const double bend = before - 2.0 * here + after;
    const double vertex = bend < 0.0 ? 0.5 * (before - after) / bend : 0.0;
    const RimEdge edge{k - usable + std::clamp(vertex, -0.5, 0.5), here};
    if (ray.count < kEdgesPerRay) {
      ray.edges[ray.count++] = edge;
    } else {
      auto weakest = std::min_element(
          ray.edges.begin(), ray.edges.end(), [](const RimEdge& a, const RimEdge& b) {
            return a.strength < b.strength;
          });
      if (weakest->strength < edge.strength) *weakest = edge;
    }
  }
}

/// Noise of one grey sample on the rays: median absolute second difference, which smooth shading
/// does not touch. For white noise its sigma is √6 of the sample's.
double grey_noise(std::vector<float>& second_differences) {
  if (second_differences.empty()) return 1.0;
  const auto middle =
      second_differences.begin() + static_cast<std::ptrdiff_t>(second_differences.size() / 2);
  std::nth_element(second_differences.begin(), middle, second_differences.end());
  return std::max(0.15, static_cast<double>(*middle) / 0.6745 / std::sqrt(6.0));
}

}  // namespace

std::vector<RimRay> lay_rays(const Ellipse& ellipse) {
  const int count = ray_count(ellipse);
  const std::vector<Vector2d>& directions = directions_of(count);
  const Matrix2d inverse = ellipse.shape.inverse();
  std::vector<RimRay> rays(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    RimRay& ray = rays[static_cast<std::size_t>(i)];
    ray.on_circle = directions[static_cast<std::size_t>(i)];
    ray.normal = (inverse * ray.on_circle).normalized();
  }
  return rays;
}

void read_edges(const LumaView& picture,
                const Ellipse& ellipse,
                int reach,
                const Vector2d& blur_px,
                std::vector<RimRay>& rays) {
  const std::size_t length = places_within(reach);
  std::vector<float> grey(rays.size() * length);
  const auto on_ray = [&](std::size_t i) { return std::span(grey).subspan(i * length, length); };
  std::vector<float> second_differences;
  second_differences.reserve(rays.size() * (length / 3));
  for (std::size_t i = 0; i < rays.size(); ++i) {
    sample_ray(picture,
               ellipse.centre + ellipse.shape * rays[i].on_circle,
               rays[i].normal,
               reach,
               on_ray(i));
    const std::span<const float> g = on_ray(i);
    for (std::size_t k = 2; k < length; k += 3) {
      second_differences.push_back(std::abs(g[k - 2] - 2.0F * g[k - 1] + g[k]));
    }
  }
  const double noise = grey_noise(second_differences);
  std::vector<float> slope;
  for (std::size_t i = 0; i < rays.size(); ++i) {
    const EdgeKernel& kernel = kernel_for_blur(std::abs(rays[i].normal.dot(blur_px)));
    if (kernel.radius + 2 > reach) continue;
    find_edges(
        on_ray(i), reach, kernel, std::max(0.5, 3.5 * noise * kernel.noise_gain), slope, rays[i]);
  }
}

void EdgeReader::read(
    const LumaView& picture, const Vector2d& middle, int reach_px, double least, RimRay& ray) {
  const EdgeKernel& kernel = kernel_for_blur(0.0);
  const int reach = reach_px + kernel.radius + 2;
  grey_.resize(places_within(reach));
  sample_ray(picture, middle, ray.normal, reach, grey_);
  find_edges(grey_, reach, kernel, least, slope_, ray);
}

}  // namespace kinetics
