// One measurement: edges on rays, a coarse shift by voting, then a robust fit of centre and shape.
#include "libkinetics/tracking/rim.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/rim_rays.h"

namespace kinetics {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// Votes for shifts of the rim, on a square grid with a border that makes neighbours of all cells.
struct ShiftVotes {
  int side;
  int wide = side + 2;
  std::vector<float> cells = std::vector<float>(static_cast<std::size_t>(wide * wide), 0.0F);
  std::vector<double> across = std::vector<double>(static_cast<std::size_t>(side));

  explicit ShiftVotes(int cells_a_side) : side(cells_a_side) {}
  [[nodiscard]] float* row(int y) { return cells.data() + std::ptrdiff_t{wide} * (y + 1) + 1; }

  /// All shifts that bring the rim onto an edge: a line. The offset is in cells.
  void add_line(const Vector2d& normal, double offset, float weight) {
    const bool flat = std::abs(normal.y()) >= std::abs(normal.x());
    const double along = flat ? normal.x() : normal.y();
    const double beside = flat ? normal.y() : normal.x();
    const int half = side / 2;
    // Places first: so the compiler takes several at once.
    for (int k = 0; k < side; ++k) {
      across[static_cast<std::size_t>(k)] = (offset - along * (k - half)) / beside + half;
    }
    const std::ptrdiff_t ahead = flat ? 1 : wide;
    const std::ptrdiff_t aside = flat ? wide : 1;
    float* cell = row(0);
    for (const double place : across) {
      const int towards_zero = static_cast<int>(place);
      const int below = towards_zero - (place < towards_zero ? 1 : 0);
      if (below >= -1 && below < side) {
        const auto share = static_cast<float>(place - below);
        float* hit = cell + aside * below;
        hit[0] += weight * (1 - share);
        hit[aside] += weight * share;
      }
      cell += ahead;
    }
  }

  /// What fell on the border is beyond what is searched.
  void clear_border() {
    for (int k = -1; k <= side; ++k) row(-1)[k] = row(side)[k] = row(k)[-1] = row(k)[side] = 0.0F;
  }
};

/// The shift that most edges agree with.
Vector2d coarse_shift(const std::vector<RimRay>& rays, double search_px) {
  const double step = search_px > 14.0 ? 2.0 : 1.0;
  const int half = static_cast<int>(std::ceil(search_px / step));
  ShiftVotes votes(2 * half + 1);
  for (const RimRay& ray : rays) {
    double strongest = 0.0;
    for (std::size_t j = 0; j < ray.count; ++j)
      strongest = std::max(strongest, ray.edges[j].strength);
    for (std::size_t j = 0; j < ray.count; ++j) {
      const auto weight = static_cast<float>(std::sqrt(ray.edges[j].strength / strongest));
      votes.add_line(ray.normal, ray.edges[j].offset_px / step, weight);
    }
  }
  votes.clear_border();
  double best = -1.0;
  Vector2d shift = Vector2d::Zero();
  std::vector<double> sums(static_cast<std::size_t>(votes.side));
  for (int iy = 0; iy < votes.side; ++iy) {
    const float* above = votes.row(iy - 1);
    const float* here = votes.row(iy);
    const float* below = votes.row(iy + 1);
    const double y_px = step * (iy - half);
    for (int ix = 0; ix < votes.side; ++ix) {
      double sum = above[ix - 1];
      for (const float v : {above[ix],
                            above[ix + 1],
                            here[ix - 1],
                            here[ix],
                            here[ix + 1],
                            below[ix - 1],
                            below[ix],
                            below[ix + 1]}) {
        sum += v;
      }
      // Between equals, the one nearer to the prediction.
      const double x_px = step * (ix - half);
      sum *= 1.0 - 0.15 * (x_px * x_px + y_px * y_px) / (search_px * search_px + 1.0);
      sums[static_cast<std::size_t>(ix)] = sum;
    }
    for (int ix = 0; ix < votes.side; ++ix) {
      if (sums[static_cast<std::size_t>(ix)] <= best) continue;
      best = sums[static_cast<std::size_t>(ix)];
      shift = {step * (ix - half), y_px};
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

/// An outline this far outside the front rim shows as an edge of its own.
constexpr double kApartPx = 1.5;
/// Where both lie nearer than that, one edge is seen somewhere between them, depending on the
/// greys of face, side and background: 1 sigma as a share of how far they are apart, that of a
/// place anywhere between (1/√12) and some more for what is not known of the depth.
constexpr double kBlendShare = 0.35;

/// How the outline moves outwards along a ray for a unit change of each unknown.
Unknowns outward_move(const RimRay& ray, const Vector3d& depth_move) {
  const Vector2d& n = ray.normal;
  const Vector2d& u = ray.on_circle;
  Unknowns j;
  j << n.x(), n.y(), n.x() * u.x(), n.x() * u.y() + n.y() * u.x(), n.y() * u.y(), depth_move;
  return j;
}

/// How far the rear rim stands out beyond the front one along a ray, per unit of depth and of
/// change of the vanishing point.
Vector3d depth_move(const RimRay& ray,
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
  const RimEdge* edge = nullptr;
  const Unknowns* move = nullptr;
  double residual = 0.0;
};

Match nearest_edge(const RimRay& ray, const RayMoves& moves, const Unknowns& now) {
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
Fit refine(const std::vector<RimRay>& rays,
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

std::optional<RimFit> measure_rim(const LumaView& picture,
                                  const Ellipse& predicted,
                                  const RimOptions& options) {
  std::vector<RimRay> rays = lay_rays(predicted);
  const int reach = static_cast<int>(std::ceil(options.search_px)) + 6 +
                    static_cast<int>(0.6 * options.blur_px.norm());
  read_edges(picture, predicted, reach, options.blur_px, rays);

  const Vector2d start = coarse_shift(rays, options.search_px);
  std::vector<RayMoves> moves;
  moves.reserve(rays.size());
  // A depth that is learnt to be small may be one whose rear rim is not seen for want of contrast.
  const double likely_depth = std::max(options.depth.first_value(0), options.depth.value(0));
  for (const RimRay& ray : rays) {
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
  result.depth =
      options.depth.learned(fit.change.tail<3>(), covariance.bottomRightCorner<3, 3>().inverse());
  result.agreement = fit.weights / static_cast<double>(rays.size());
  result.rim_seen = rim_seen;
  result.edge_sigma_px = fit.sigma_px;
  result.contrast = median_of(fit.strengths);
  return result;
}

}  // namespace kinetics
