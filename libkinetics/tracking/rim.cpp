// The maths of one measurement in one place: rays, edges on them, a coarse shift by voting, then a
// robust fit of centre and shape. Longer than most files here because it is one piece.
#include "libkinetics/tracking/rim.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <span>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "libkinetics/tracking/image.h"
#include "libkinetics/tracking/median.h"

namespace kinetics {
namespace {

using Eigen::Matrix2d;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// One place on a ray where the picture changes.
struct Edge {
  double offset_px = 0.0;  ///< outwards from the predicted rim
  double strength = 0.0;   ///< |grey levels per px|
};

constexpr std::size_t kEdgesPerRay = 4;

struct Ray {
  Vector2d on_circle;  ///< (cos φ, sin φ)
  Vector2d normal;     ///< outward unit normal of the predicted ellipse there
  std::array<Edge, kEdgesPerRay> edges{};
  std::size_t count = 0;
};

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

std::vector<Ray> lay_rays(const Ellipse& ellipse) {
  const int count = ray_count(ellipse);
  const std::vector<Vector2d>& directions = directions_of(count);
  const Matrix2d inverse = ellipse.shape.inverse();
  std::vector<Ray> rays(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    Ray& ray = rays[static_cast<std::size_t>(i)];
    ray.on_circle = directions[static_cast<std::size_t>(i)];
    ray.normal = (inverse * ray.on_circle).normalized();
  }
  return rays;
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
      grey[static_cast<std::size_t>(k + reach)] =
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
                Ray& ray) {
  const int usable = reach - kernel.radius;
  slope.assign(static_cast<std::size_t>(2 * usable + 1), 0.0F);
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
    const Edge edge{k - usable + std::clamp(vertex, -0.5, 0.5), here};
    if (ray.count < kEdgesPerRay) {
      ray.edges[ray.count++] = edge;
    } else {
      auto weakest =
          std::min_element(ray.edges.begin(), ray.edges.end(), [](const Edge& a, const Edge& b) {
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

void read_edges(const LumaView& picture,
                const Ellipse& ellipse,
                int reach,
                const Vector2d& blur_px,
                std::vector<Ray>& rays) {
  const auto length = static_cast<std::size_t>(2 * reach + 1);
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

/// Share of votes for each shift of the rim on a grid; returns the best shift.
Vector2d coarse_shift(const std::vector<Ray>& rays, double search_px) {
  const double step = search_px > 14.0 ? 2.0 : 1.0;
  const int half = static_cast<int>(std::ceil(search_px / step));
  const int side = 2 * half + 1;
  std::vector<float> votes(static_cast<std::size_t>(side * side), 0.0F);
  // Without a call of the mathematics library: these are the innermost lines.
  const auto whole_below = [](double cells) {
    const int towards_zero = static_cast<int>(cells);
    return towards_zero - (cells < towards_zero ? 1 : 0);
  };
  const auto add = [&](int ix, double y_cells, float weight) {
    const int iy = whole_below(y_cells);
    const auto share = static_cast<float>(y_cells - iy);
    if (iy >= 0 && iy < side)
      votes[static_cast<std::size_t>(iy * side + ix)] += weight * (1 - share);
    if (iy + 1 >= 0 && iy + 1 < side) {
      votes[static_cast<std::size_t>((iy + 1) * side + ix)] += weight * share;
    }
  };
  const auto add_transposed = [&](int iy, double x_cells, float weight) {
    const int ix = whole_below(x_cells);
    const auto share = static_cast<float>(x_cells - ix);
    if (ix >= 0 && ix < side)
      votes[static_cast<std::size_t>(iy * side + ix)] += weight * (1 - share);
    if (ix + 1 >= 0 && ix + 1 < side) {
      votes[static_cast<std::size_t>(iy * side + ix + 1)] += weight * share;
    }
  };
  for (const Ray& ray : rays) {
    double strongest = 0.0;
    for (std::size_t j = 0; j < ray.count; ++j)
      strongest = std::max(strongest, ray.edges[j].strength);
    for (std::size_t j = 0; j < ray.count; ++j) {
      const auto weight = static_cast<float>(std::sqrt(ray.edges[j].strength / strongest));
      const double offset = ray.edges[j].offset_px / step;
      if (std::abs(ray.normal.y()) >= std::abs(ray.normal.x())) {
        for (int ix = 0; ix < side; ++ix) {
          add(ix, (offset - ray.normal.x() * (ix - half)) / ray.normal.y() + half, weight);
        }
      } else {
        for (int iy = 0; iy < side; ++iy) {
          add_transposed(
              iy, (offset - ray.normal.y() * (iy - half)) / ray.normal.x() + half, weight);
        }
      }
    }
  }
  double best = -1.0;
  Vector2d shift = Vector2d::Zero();
  for (int iy = 0; iy < side; ++iy) {
    for (int ix = 0; ix < side; ++ix) {
      double sum = 0.0;
      for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
          const int x = ix + dx;
          const int y = iy + dy;
          if (x < 0 || y < 0 || x >= side || y >= side) continue;
          sum += votes[static_cast<std::size_t>(y * side + x)];
        }
      }
      const Vector2d here(step * (ix - half), step * (iy - half));
      // Between equals, the one nearer to the prediction.
      sum *= 1.0 - 0.15 * here.squaredNorm() / (search_px * search_px + 1.0);
      if (sum > best) {
        best = sum;
        shift = here;
      }
    }
  }
  return shift;
}

/// Changes of centre x, centre y, shape xx, shape xy, shape yy, then the depth itself and the
/// changes of the vanishing point.
constexpr int kUnknowns = 8;
constexpr int kOfFront = 5;  // of these move the front rim
using Unknowns = Eigen::Matrix<double, kUnknowns, 1>;
using Information = Eigen::Matrix<double, kUnknowns, kUnknowns>;

/// Discs of 30 to 90 mm, or a stack, at 2.5 to 6 m.
constexpr double kUsualDepth = 0.015;
/// No disc is thinner than 15 mm at 5 m.
constexpr double kThinnestDepth = 0.003;
/// The vanishing point lies no farther than so many sigma from where it was taken to be: other
/// views have their own guesses.
constexpr double kFarthestView = 2.0;
/// One picture's share in what is learned of the depth: neighbouring frames err alike.
constexpr double kDepthShare = 0.05;
constexpr double kDepthPictures = 3.0;
/// An outline this far outside the front rim shows as an edge of its own.
constexpr double kApartPx = 1.5;
/// Where both lie nearer than that, one edge is seen somewhere between them, depending on the
/// greys of face, side and background: 1 sigma as a share of how far they are apart, that of a
/// place anywhere between (1/√12) and some more for what is not known of the depth.
constexpr double kBlendShare = 0.35;

/// How the outline moves outwards along a ray for a unit change of each unknown.
Unknowns outward_move(const Ray& ray, const Vector3d& depth_move) {
  const Vector2d& n = ray.normal;
  const Vector2d& u = ray.on_circle;
  Unknowns j;
  j << n.x(), n.y(), n.x() * u.x(), n.x() * u.y() + n.y() * u.x(), n.y() * u.y(), depth_move;
  return j;
}

/// How far the rear rim stands out beyond the front one along a ray, per unit of depth and of
/// change of the vanishing point.
Vector3d depth_move(const Ray& ray,
                    const Ellipse& ellipse,
                    const LumaView& picture,
                    const Vector3d& depth) {
  const double height = picture.height;
  const Vector2d middle(0.5 * (picture.width - 1), 0.5 * (height - 1));
  const Vector2d to_point =
      middle + height * depth.tail<2>() - ellipse.centre - ellipse.shape * ray.on_circle;
  Vector3d move;
  move << ray.normal.dot(to_point), depth(0) * height * ray.normal;
  return move;
}

struct Fit {
  Unknowns change = Unknowns::Zero();
  Information information = Information::Identity();
  std::vector<double> residuals;  ///< of the edges used, in ray order
  std::vector<double> strengths;
  double sigma_px = 1.0;
  double weights = 0.0;
};

/// How the outline, and the front rim, move outwards along a ray for a unit change of each unknown.
struct RayMoves {
  Unknowns outline = Unknowns::Zero();
  Unknowns front = Unknowns::Zero();
  double blend_px2 = 0.0;  ///< variance of an edge that is neither quite
};

/// How far an edge may be off for the rear rim that shows beside the front one.
double blend_variance_px2(double beyond_px) {
  if (beyond_px <= 0.0) return 0.0;
  const double apart_px = beyond_px < kApartPx ? beyond_px : kApartPx * kApartPx / beyond_px;
  return std::pow(kBlendShare * apart_px, 2);
}

/// The edge of a ray that lies nearest to where the outline, or the front rim, is expected.
struct Match {
  const Edge* edge = nullptr;
  const Unknowns* move = nullptr;
  double residual = 0.0;
};

Match nearest_edge(const Ray& ray, const RayMoves& moves, const Unknowns& now) {
  Match match;
  const double beyond = moves.outline.tail<3>().dot(now.tail<3>());
  const auto consider = [&](const Unknowns& move) {
    const double expected = move.dot(now);
    for (std::size_t k = 0; k < ray.count; ++k) {
      const double residual = ray.edges[k].offset_px - expected;
      if (!match.edge || std::abs(residual) < std::abs(match.residual)) {
        match = {&ray.edges[k], &move, residual};
      }
    }
  };
  if (beyond > 0.0) consider(moves.outline);
  if (beyond <= 0.0 || beyond > kApartPx) consider(moves.front);
  return match;
}

/// Adds weight · move · moveᵀ to the lower triangle, of the first columns; in pairs of rows, as the
/// processor takes them.
template <int kColumn, int kColumns>
void add_square(const Unknowns& move, double weight, Information& sum) {
  constexpr int kFirst = kColumn / 2 * 2;
  constexpr int kRows = (kColumns + 1) / 2 * 2 - kFirst;
  const double scaled = weight * move(kColumn);
  sum.col(kColumn).segment<kRows>(kFirst) += scaled * move.segment<kRows>(kFirst);
  if constexpr (kColumn + 1 < kColumns) add_square<kColumn + 1, kColumns>(move, weight, sum);
}

/// Tukey-weighted least squares on the nearest edge of each ray, with what is known beforehand of
/// shape and depth as a prior.
Fit refine(const std::vector<Ray>& rays,
           const std::vector<RayMoves>& moves,
           const Vector2d& start,
           double shape_sigma_px,
           const DiscDepth& depth) {
  Fit fit;
  fit.change.head<2>() = start;
  fit.change(5) = depth.value(0);
  const double shape_information = 1.0 / (shape_sigma_px * shape_sigma_px);
  Information prior = Information::Zero();
  prior.diagonal().segment<3>(2) << shape_information, 2.0 * shape_information, shape_information;
  prior.bottomRightCorner<3, 3>() = depth.covariance.inverse();
  const Unknowns prior_right = prior.col(5) * depth.value(0);

  // While the shape is little known, edges farther off may still be the rim's.
  double tolerance_px = std::max(2.5, shape_sigma_px);
  double sigma_px = 0.7;
  std::vector<double> magnitudes;
  magnitudes.reserve(rays.size());
  fit.residuals.reserve(rays.size());
  fit.strengths.reserve(rays.size());
  for (int pass = 0; pass < 7; ++pass) {
    Information normal = Information::Zero();
    Unknowns right = Unknowns::Zero();
    const double variance = sigma_px * sigma_px;
    fit.residuals.clear();
    fit.strengths.clear();
    fit.weights = 0.0;
    for (std::size_t i = 0; i < rays.size(); ++i) {
      const Match match = nearest_edge(rays[i], moves[i], fit.change);
      if (!match.edge) continue;
      const double ratio = match.residual / tolerance_px;
      if (std::abs(ratio) >= 1.0) continue;
      const double tukey = (1.0 - ratio * ratio) * (1.0 - ratio * ratio);
      const double weight = tukey * variance / (variance + moves[i].blend_px2);
      if (match.move == &moves[i].front) {
        add_square<0, kOfFront>(*match.move, weight, normal);
      } else {
        add_square<0, kUnknowns>(*match.move, weight, normal);
      }
      right += (weight * match.edge->offset_px) * *match.move;
      fit.residuals.push_back(match.residual);
      fit.strengths.push_back(match.edge->strength);
      fit.weights += tukey;
    }
    if (fit.residuals.size() < 8) return fit;
    magnitudes.clear();
    for (const double r : fit.residuals) magnitudes.push_back(std::abs(r));
    sigma_px = std::clamp(1.4826 * median_of(magnitudes), 0.03, 1.0);
    const Information whole = normal.selfadjointView<Eigen::Lower>();
    fit.information = whole / (sigma_px * sigma_px) + prior;
    const Unknowns before = fit.change;
    fit.change = fit.information.ldlt().solve(right / (sigma_px * sigma_px) + prior_right);
    const double next_px = std::max(0.5, std::min(0.75 * tolerance_px, 4.685 * sigma_px));
    const bool settled = (fit.change - before).head<5>().cwiseAbs().maxCoeff() < 0.003 &&
                         std::abs(next_px - tolerance_px) < 0.1;
    tolerance_px = next_px;
    if (settled) break;
  }
  fit.sigma_px = sigma_px;
  return fit;
}

/// Takes a share of what this picture says of the depth, and lets go of a smaller share of what the
/// pictures before it said: they all err alike, so never more than some pictures' worth is held
/// against the first guess.
DiscDepth learned(const DiscDepth& before, const Fit& fit, const Information& covariance) {
  const Matrix3d posterior = covariance.bottomRightCorner<3, 3>().inverse();
  const Matrix3d known = before.covariance.inverse();
  const Matrix3d told = posterior - known;
  const Matrix3d first = before.first_covariance.inverse();
  const double fade = kDepthShare / kDepthPictures;
  const Vector3d change = fit.change.tail<3>() - Vector3d(before.value(0), 0.0, 0.0);
  DiscDepth after = before;
  after.covariance = ((1.0 - fade) * known + fade * first + kDepthShare * told).inverse();
  after.value =
      before.value + after.covariance * (kDepthShare * (posterior * change) +
                                         fade * first * (before.first_value - before.value));
  if (after.value(0) < kThinnestDepth) {
    // Nothing of the rear rim shows, and nothing tells where the bar points to.
    after.value = {0.0, before.first_value(1), before.first_value(2)};
    return after;
  }
  const Vector3d reach = kFarthestView * before.first_covariance.diagonal().cwiseSqrt();
  after.value.tail<2>() = after.value.tail<2>()
                              .cwiseMax((before.first_value - reach).tail<2>())
                              .cwiseMin((before.first_value + reach).tail<2>());
  return after;
}

/// Neighbouring rays err alike (texture, compression), so they count for less than independent
/// ones: variance × (1 + ρ)/(1 − ρ) with ρ the correlation of neighbours.
double correlation_inflation(const std::vector<double>& residuals) {
  if (residuals.size() < 12) return 2.0;
  double square = 0.0;
  double product = 0.0;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    square += residuals[i] * residuals[i];
    product += residuals[i] * residuals[(i + 1) % residuals.size()];
  }
  const double rho = square > 0.0 ? std::clamp(product / square, 0.0, 0.8) : 0.0;
  return (1.0 + rho) / (1.0 - rho);
}

}  // namespace

DiscDepth DiscDepth::guess(const LumaView& picture, double side, double below) {
  // The vanishing point is where the bar points to: the
  // middle of the picture when the camera stands square and level.
  constexpr double kUsualSigma = 0.012;
  const double aspect = static_cast<double>(picture.width) / picture.height;
  DiscDepth depth;
  depth.value = {kUsualDepth, side * aspect, below};
  depth.covariance = Vector3d(std::pow(kUsualSigma, 2),
                              std::pow((0.10 + 0.5 * std::abs(side)) * aspect, 2),
                              std::pow(0.12 + 0.25 * std::abs(below), 2))
                         .asDiagonal();
  depth.first_value = depth.value;
  depth.first_covariance = depth.covariance;
  return depth;
}

DiscDepth DiscDepth::none() {
  DiscDepth depth;
  depth.value.setZero();
  depth.covariance *= 1e-12;
  depth.first_value = depth.value;
  depth.first_covariance = depth.covariance;
  return depth;
}

double Ellipse::mean_radius_px() const {
  return std::sqrt(std::abs(shape.determinant()));
}

double Ellipse::reach_px(const Vector2d& direction) const {
  return 1.0 / (shape.inverse() * direction).norm();
}

std::optional<RimFit> measure_rim(const LumaView& picture,
                                  const Ellipse& predicted,
                                  const RimOptions& options) {
  std::vector<Ray> rays = lay_rays(predicted);
  const int reach = static_cast<int>(std::ceil(options.search_px)) + 6 +
                    static_cast<int>(0.6 * options.blur_px.norm());
  read_edges(picture, predicted, reach, options.blur_px, rays);

  const Vector2d start = coarse_shift(rays, options.search_px);
  std::vector<RayMoves> moves;
  moves.reserve(rays.size());
  // A depth that is learnt to be small may be one whose rear rim is not seen for want of contrast.
  const double likely_depth = std::max(options.depth.first_value(0), options.depth.value(0));
  for (const Ray& ray : rays) {
    const Vector3d by_depth = depth_move(ray, predicted, picture, options.depth.value);
    moves.push_back({outward_move(ray, by_depth),
                     outward_move(ray, Vector3d::Zero()),
                     blend_variance_px2(by_depth(0) * likely_depth)});
  }
  const Fit fit = refine(
      rays, moves, start, options.shape_sigma_rel * predicted.mean_radius_px(), options.depth);
  const double rim_seen =
      static_cast<double>(fit.residuals.size()) / static_cast<double>(rays.size());
  if (rim_seen < options.min_rim_seen || fit.residuals.size() < 12) return std::nullopt;

  RimFit result;
  result.ellipse.centre = predicted.centre + fit.change.head<2>();
  result.ellipse.shape(0, 0) = predicted.shape(0, 0) + fit.change(2);
  result.ellipse.shape(0, 1) = predicted.shape(0, 1) + fit.change(3);
  result.ellipse.shape(1, 0) = result.ellipse.shape(0, 1);
  result.ellipse.shape(1, 1) = predicted.shape(1, 1) + fit.change(4);
  if (result.ellipse.shape.determinant() <= 0.0 || result.ellipse.shape(0, 0) <= 0.0) {
    return std::nullopt;
  }
  // Far from the prediction the rays no longer meet the rim squarely: look again from nearer.
  const double moved_px = fit.change.head<2>().norm();
  if (moved_px > 0.03 * predicted.mean_radius_px() && moved_px > 2.0) {
    // Each look halves its reach, so that a picture without a rim cannot lead on for ever.
    RimOptions nearer = options;
    nearer.search_px = std::max(3.0, 0.5 * options.search_px);
    if (nearer.search_px < options.search_px) return measure_rim(picture, result.ellipse, nearer);
  }
  const Information covariance = fit.information.inverse();
  const double inflation = correlation_inflation(fit.residuals);
  result.centre_cov_px2 = inflation * covariance.topLeftCorner<2, 2>();
  result.shape_sigma_px = std::sqrt(inflation * covariance(4, 4));
  const Matrix3d by_shape = covariance.block<3, 3>(2, 2).inverse();
  result.centre_by_shape = covariance.block<2, 3>(0, 2) * by_shape;
  result.held_cov_px2 =
      result.centre_cov_px2 - inflation * result.centre_by_shape * covariance.block<3, 2>(2, 0);
  result.depth = learned(options.depth, fit, covariance);
  result.agreement = fit.weights / static_cast<double>(rays.size());
  result.rim_seen = rim_seen;
  result.edge_sigma_px = fit.sigma_px;
  result.contrast = median_of(fit.strengths);
  return result;
}

std::vector<float> RimCensus::mean() const {
  std::vector<float> all;
  if (by_sector.empty()) return all;
  all.assign(kCount, 0.0F);
  for (std::size_t k = 0; k < by_sector.size(); ++k) all[k % kCount] += by_sector[k] / kSectors;
  return all;
}

RimCensus census_of_rims(const LumaView& picture, const Ellipse& ellipse) {
  std::vector<Ray> rays = lay_rays(ellipse);
  const double radius = ellipse.mean_radius_px();
  RimCensus census{.by_sector = std::vector<float>(RimCensus::kSectors * RimCensus::kCount, 0.0F)};
  std::array<float, RimCensus::kSectors> rays_in{};
  std::vector<float> grey;
  std::vector<float> slope;
  const EdgeKernel& kernel = kernel_for_blur(0.0);
  for (std::size_t i = 0; i < rays.size(); ++i) {
    Ray& ray = rays[i];
    // Two overlapping stretches, since a ray keeps only its few strongest edges.
    std::vector<char> hit(RimCensus::kCount, 0);
    for (const double middle : {0.80, 1.0, 1.2, 1.4, 1.6}) {
      const int reach = static_cast<int>(0.10 * radius) + kernel.radius + 2;
      grey.resize(static_cast<std::size_t>(2 * reach + 1));
      sample_ray(picture,
                 ellipse.centre + middle * (ellipse.shape * ray.on_circle),
                 ray.normal,
                 reach,
                 grey);
      find_edges(grey, reach, kernel, 2.0, slope, ray);
      for (std::size_t k = 0; k < ray.count; ++k) {
        const double local = ellipse.shape.determinant() > 0
                                 ? (ellipse.shape * ray.on_circle).dot(ray.normal)
                                 : radius;
        const double factor = middle + ray.edges[k].offset_px / local;
        const int bin =
            static_cast<int>(std::lround((factor - RimCensus::kFirst) / RimCensus::kStep));
        for (int b = bin - 1; b <= bin + 1; ++b) {
          if (b >= 0 && b < RimCensus::kCount) hit[static_cast<std::size_t>(b)] = 1;
        }
      }
    }
    const std::size_t sector = i * RimCensus::kSectors / rays.size();
    rays_in[sector] += 1.0F;
    for (std::size_t b = 0; b < hit.size(); ++b) {
      census.by_sector[sector * RimCensus::kCount + b] += hit[b];
    }
  }
  for (std::size_t k = 0; k < census.by_sector.size(); ++k) {
    census.by_sector[k] /= std::max(1.0F, rays_in[k / RimCensus::kCount]);
  }
  return census;
}

}  // namespace kinetics
