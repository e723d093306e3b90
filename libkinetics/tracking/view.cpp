#include "libkinetics/tracking/view.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/ruler.h"

namespace kinetics {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

/// Systematic error of the rim's place, px: compression and lens halo move an edge in or out alike
/// all round, which no averaging removes. And more where the size wanders beside the smooth ruler:
/// what covers the rim or looks like it, its depth and the light pull at it, and what of that stays
/// is taken to be as large as what changes from second to second. Learnt on rendered clips of all
/// kinds, known and made up.
constexpr double kEdgeBiasPx = 0.01;
constexpr double kWanderBlockS = 1.0;
/// A phone on a tripod is set upright by eye, to within two degrees nearly always (1 sigma;
/// common practice, no source).
constexpr double kRollSigmaUnknown = 0.015;
constexpr double kSlowestReadoutS = 0.033;
/// Readout assumed possible, 1 sigma, when neither given nor measured, s.
constexpr double kReadoutSigmaS = 0.008;
/// Time over which the camera's distance may change, s (the lifter steps, the bar swings).
constexpr double kDistanceWindowS = 1.5;

/// Focal length of a phone's camera over the picture's long side, and how far it is off.
constexpr double kUsualFocal = 0.9;
constexpr double kFocalSigmaRel = 0.35;
/// It is known to which side the bar points when it was seen to point at least so far, as a share
/// of what the ellipse makes expect.
constexpr double kClearlyAside = 0.5;

/// The one place where pixels become square and y turns up.
std::vector<PlumbPoint> upright_points(const std::vector<Glimpse>& glimpses,
                                       const std::vector<double>& times_s,
                                       const ClipInfo& clip,
                                       double rim_factor) {
  Matrix2d square = Matrix2d::Identity();
  square(0, 0) = clip.pixel_aspect;
  std::vector<PlumbPoint> points;
  for (const Glimpse& g : glimpses) {
    if (!g.seen) continue;
    PlumbPoint p;
    p.frame = static_cast<std::size_t>(g.frame);
    p.t_s = times_s[p.frame];
    p.at = {clip.pixel_aspect * (g.still_x_px - 0.5 * (clip.width_px - 1)),
            -(g.still_y_px - 0.5 * (clip.height_px - 1))};
    Matrix2d shape;
    shape << g.xx, -g.xy, -g.xy, g.yy;
    // The ellipse is centre + S·u; stretched by D it is D·S·u, whose symmetric form has the same
    // (D S)(D S)ᵀ.
    const Matrix2d outer = square * shape * shape.transpose() * square * rim_factor * rim_factor;
    p.shape = Eigen::SelfAdjointEigenSolver<Matrix2d>(outer).operatorSqrt();
    p.sigma_x = clip.pixel_aspect * g.sigma_x_px;
    p.sigma_y = g.sigma_y_px;
    p.lasting = g.lasting_px;
    p.sigma_shape = std::max(0.03, static_cast<double>(g.shape_sigma_px)) * rim_factor;
    p.rim_seen = g.rim_seen;
    points.push_back(p);
  }
  return points;
}

/// Speeds by central differences over about 60 ms: only used to see the shutter's effect.
void add_speeds(std::vector<PlumbPoint>& points) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    std::size_t a = i;
    std::size_t b = i;
    while (a > 0 && points[i].t_s - points[a].t_s < 0.03) --a;
    while (b + 1 < points.size() && points[b].t_s - points[i].t_s < 0.03) ++b;
    const double dt = points[b].t_s - points[a].t_s;
    points[i].speed = dt > 0.0 && dt < 0.25 ? (points[b].along - points[a].along) / dt : 0.0;
  }
}

/// Off square, a bar that moves to the right also comes nearer or goes farther: by so much the log
/// of the ruler grows per px.
struct Nearing {
  double per_px = 0.0;
  double sigma_per_px = 0.0;
};

/// `bar_to_right` tells which way: where the bar points to, picture heights right of the middle.
Nearing nearing_of(double off_square_rad, double bar_to_right, const ClipInfo& clip) {
  const double height_px = clip.height_px;
  const double focal_px = kUsualFocal * std::max(clip.pixel_aspect * clip.width_px, height_px);
  const double size = std::sin(off_square_rad) / focal_px;
  const double expected = std::tan(off_square_rad) * focal_px / height_px;
  if (std::abs(bar_to_right) < kClearlyAside * expected) return {0.0, size};
  return {std::copysign(size, bar_to_right), kFocalSigmaRel * size};
}

/// How far the bar goes sideways as it rises, and how far it rises in all.
struct SidewaysPath {
  double slope = 0.0;
  double span_px = 0.0;
};

SidewaysPath sideways_path(const std::vector<PlumbPoint>& points) {
  const auto n = static_cast<double>(points.size());
  double x = 0.0;
  double y = 0.0;
  double low = points.front().along;
  double high = low;
  for (const PlumbPoint& p : points) {
    x += p.sideways / n;
    y += p.along / n;
    low = std::min(low, p.along);
    high = std::max(high, p.along);
  }
  double xy = 0.0;
  double yy = 1.0;
  for (const PlumbPoint& p : points) {
    xy += (p.sideways - x) * (p.along - y);
    yy += (p.along - y) * (p.along - y);
  }
  return {.slope = std::abs(xy / yy), .span_px = high - low};
}

/// How far a disc's size is trusted that lies so far beside the ruler.
double trust(const PlumbPoint& p, double residual) {
  constexpr double kSureRel = 0.004;
  const double r = residual / 0.06;
  if (std::abs(r) >= 1.0) return 0.0;
  const double own = p.sigma_shape / p.reach;
  return std::pow(p.rim_seen, 4) * std::pow(1.0 - r * r, 2) / (1.0 + std::pow(own / kSureRel, 2));
}

/// Slow change of the camera's distance: residual of log(reach), smoothed over a second or two.
std::vector<double> slow_drift(const std::vector<PlumbPoint>& points, const RulerModel& model) {
  const std::size_t n = points.size();
  std::vector<double> residual(n);
  std::vector<double> weight(n);
  for (std::size_t i = 0; i < n; ++i) {
    residual[i] = model.beside(points[i]);
    weight[i] = trust(points[i], residual[i]);
  }
  // Two passes of a recursive exponential, forward and backward: O(n) for any clip length.
  const auto run = [&](bool forward, std::vector<double>& sum, std::vector<double>& mass) {
    sum.assign(n, 0.0);
    mass.assign(n, 0.0);
    double s = 0.0;
    double m = 0.0;
    for (std::size_t k = 0; k < n; ++k) {
      const std::size_t i = forward ? k : n - 1 - k;
      if (k > 0) {
        const std::size_t before = forward ? i - 1 : i + 1;
        const double keep =
            std::exp(-std::abs(points[i].t_s - points[before].t_s) / kDistanceWindowS);
        s *= keep;
        m *= keep;
      }
      s += weight[i] * residual[i];
      m += weight[i];
      sum[i] = s;
      mass[i] = m;
    }
  };
  std::vector<double> fs, fm, bs, bm;
  run(true, fs, fm);
  run(false, bs, bm);
  std::vector<double> drift(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double mass = fm[i] + bm[i] - weight[i];
    // A weak pull to zero, as if some seconds of frames had shown none.
    drift[i] = (fs[i] + bs[i] - weight[i] * residual[i]) / (mass + 5.0);
  }
  return drift;
}

/// How far the size in one second lies beside the smooth ruler, as a share of it (root mean square
/// over the seconds, by how much the bar moves in each: while the lifter walks the distance changes
/// too).
double wander_of(const std::vector<PlumbPoint>& points, const RulerModel& model) {
  std::vector<double> beside, masses;
  for (std::size_t i = 0; i < points.size();) {
    const double from_s = points[i].t_s;
    double sum = 0.0;
    double weights = 1e-9;
    double mass = 0.0;
    for (; i < points.size() && points[i].t_s < from_s + kWanderBlockS; ++i) {
      const PlumbPoint& p = points[i];
      const double residual = model.beside(p);
      const double weight = trust(p, residual);
      sum += weight * residual;
      weights += weight;
      mass += weight * std::abs(p.speed);
    }
    beside.push_back(sum / weights);
    masses.push_back(mass);
  }
  double sum = 0.0;
  double square = 0.0;
  double mass = 1e-9;
  for (std::size_t k = 0; k < beside.size(); ++k) {
    sum += masses[k] * beside[k];
    square += masses[k] * beside[k] * beside[k];
    mass += masses[k];
  }
  return std::sqrt(std::max(0.0, square / mass - std::pow(sum / mass, 2)));
}

double plumb_roll(const TrackingOptions& options,
                  const Uprights& uprights,
                  double column_px,
                  double& sigma_rad,
                  Notes& notes) {
  if (options.camera_roll_rad) {
    sigma_rad = 0.002;
    return *options.camera_roll_rad;
  }
  if (const auto lean = uprights.lean_at(column_px)) {
    sigma_rad = lean->sigma_rad;
    const double degrees = lean->roll_rad * 180.0 / std::numbers::pi;
    if (std::abs(degrees) >= 0.5) {
      notes.push_back({NoteKind::kDecision,
                       fmt::format("The camera leans {:.1f} degrees by the upright edges in view, "
                                   "and that is corrected. --camera-roll-deg overrules it.",
                                   degrees)});
    }
    return lean->roll_rad;
  }
  sigma_rad = kRollSigmaUnknown;
  notes.push_back({NoteKind::kCaution,
                   "No upright edges are in view to check the camera's lean; it is taken as level. "
                   "--camera-roll-deg states it."});
  return 0.0;
}

}  // namespace

ViewResult path_in_gym(const std::vector<Glimpse>& glimpses,
                       const std::vector<double>& times_s,
                       const ClipInfo& clip,
                       const Uprights& uprights,
                       double rim_factor,
                       const TrackingOptions& options,
                       double bar_to_right) {
  ViewResult result;
  const double radius_m = 0.5 * options.disc_diameter_m;
  std::vector<PlumbPoint> points = upright_points(glimpses, times_s, clip, rim_factor);
  if (points.empty()) return result;

  std::vector<double> columns;
  for (const Glimpse& g : glimpses) {
    if (g.seen) columns.push_back(g.x_px);
  }
  double roll_sigma = 0.0;
  result.roll_rad = plumb_roll(options, uprights, median_of(columns), roll_sigma, result.notes);
  const Vector2d up(-std::sin(result.roll_rad), std::cos(result.roll_rad));

  // The usual ellipse gives the oblique frame: `rise` picks the height out of a shift even when
  // the bar also moves sideways and the view is off square and rolled.
  std::vector<double> xx, xy, yy;
  for (const PlumbPoint& p : points) {
    xx.push_back(p.shape(0, 0));
    xy.push_back(p.shape(0, 1));
    yy.push_back(p.shape(1, 1));
  }
  Matrix2d usual;
  usual << median_of(xx), median_of(xy), median_of(xy), median_of(yy);
  const Matrix2d inverse = usual.inverse();
  const double usual_reach = 1.0 / (inverse * up).norm();
  const Vector2d unit_up = usual_reach * (inverse * up);  // on the unit circle
  const Vector2d unit_across(unit_up.y(), -unit_up.x());
  const Vector2d rise = usual_reach * (inverse * unit_up);        // px along the plumb
  const Vector2d across = usual_reach * (inverse * unit_across);  // same scale, level

  for (PlumbPoint& p : points) {
    p.reach = 1.0 / (p.shape.inverse() * up).norm();
    p.along = rise.dot(p.at);
    p.sideways = across.dot(p.at);
  }
  const Eigen::SelfAdjointEigenSolver<Matrix2d> axes(usual);
  result.off_square_rad =
      std::acos(std::clamp(axes.eigenvalues()(0) / axes.eigenvalues()(1), 0.0, 1.0));
  const Nearing nearing = nearing_of(result.off_square_rad, bar_to_right, clip);
  std::vector<double> sideways;
  sideways.reserve(points.size());
  for (const PlumbPoint& p : points) sideways.push_back(p.sideways);
  const double usual_sideways = median_of(sideways);
  for (PlumbPoint& p : points) p.nearer = nearing.per_px * (p.sideways - usual_sideways);
  add_speeds(points);

  // Shutter: rows are read one after another, so a bar moving with the readout looks stretched.
  const bool rows_run_upright =
      clip.readout == ReadoutDirection::kDown || clip.readout == ReadoutDirection::kUp;
  const double toward = clip.readout == ReadoutDirection::kUp ? -1.0 : 1.0;
  const double rows = clip.height_px;
  LineTimes possible;
  if (options.readout_s && rows_run_upright) {
    possible.least_s = possible.most_s = toward * *options.readout_s / rows;
  } else if (rows_run_upright) {
    possible.least_s = std::min(0.0, toward * kSlowestReadoutS / rows);
    possible.most_s = std::max(0.0, toward * kSlowestReadoutS / rows);
  }
  const RulerModel ruler = fit_ruler(points, possible);
  const std::vector<double> drift = slow_drift(points, ruler);
  double line_time_s = 0.0;
  double line_time_sigma_s = rows_run_upright ? kReadoutSigmaS / rows : 0.0;
  if (options.readout_s) {
    line_time_s = rows_run_upright ? toward * *options.readout_s / rows : 0.0;
    line_time_sigma_s = 0.0;
    result.readout_s = options.readout_s;
  } else if (rows_run_upright && ruler.line_time_known) {
    const double measured = ruler.c(3);
    if (measured * toward > 2.5 * ruler.line_time_sigma_s) {
      line_time_s = measured;
      result.readout_s = std::abs(measured) * rows;
      result.notes.push_back(
          {NoteKind::kDecision,
           fmt::format("The disc's stretch while it moves shows that the sensor takes about {:.0f} "
                       "ms to read a picture, and that is corrected. --readout-ms overrules it.",
                       1000.0 * *result.readout_s)});
    }
    line_time_sigma_s = std::min(line_time_sigma_s, ruler.line_time_sigma_s);
  }

  // Height as the integral of the ruler along the plumb, scaled by the slow drift. Fifth-order
  // Gauss–Legendre is exact to rounding for so smooth an integrand.
  const auto height_px = [&](double along) {
    constexpr std::array<double, 5> node{
        0.0, 0.5384693101056831, -0.5384693101056831, 0.9061798459386640, -0.9061798459386640};
    constexpr std::array<double, 5> weight{0.5688888888888889,
                                           0.4786286704993665,
                                           0.4786286704993665,
                                           0.2369268850561891,
                                           0.2369268850561891};
    const double half = 0.5 * (along - ruler.middle);
    double sum = 0.0;
    for (std::size_t k = 0; k < node.size(); ++k) {
      sum += weight[k] * std::exp(-ruler.log_reach(ruler.middle + half * (1.0 + node[k])));
    }
    return half * sum;
  };

  BarPath& path = result.path;
  std::vector<double> scale;
  const double anchor = ruler.middle * std::exp(-ruler.log_reach(ruler.middle));
  const double height_0 = height_px(points.front().along);
  const double usual_height = height_px(ruler.middle);
  const double across_0 = across.dot(points.front().at);
  std::size_t next = 0;
  double last_t = -1.0;
  for (std::size_t frame = 0; frame < times_s.size(); ++frame) {
    PathPoint out;
    out.seen = next < points.size() && points[next].frame == frame;
    const PlumbPoint& p = points[std::min(next, points.size() - 1)];
    const double d = std::exp(-drift[std::min(next, points.size() - 1)]);
    const double local = d * std::exp(-ruler.log_reach(p.along) - p.nearer);
    // `anchor` is the height of the chosen middle above the optical axis: distance changes scale
    // heights about the axis, not about the middle of the path. What is nearer for its place
    // sideways is so already in the ellipse that `rise` comes from, but for its own height.
    const double height = height_px(p.along);
    const double by_side = std::expm1(-p.nearer) * (height - usual_height);
    out.y_m = radius_m * (d * (height + anchor) + by_side - anchor - height_0);
    out.x_m = radius_m * local * (across.dot(p.at) - across_0);
    out.t_s = times_s[frame];
    if (out.seen) {
      const double row = -p.at.y();  // downwards, from the middle row
      out.t_s += line_time_s * row;
      out.sigma_y_m = radius_m * local * p.sigma_y;
      out.lasting_sigma_m = radius_m * local * p.lasting;
      out.sigma_x_m = radius_m * local * p.sigma_x;
      scale.push_back(1.0 / (radius_m * local));
      ++next;
    } else {
      out.sigma_x_m = out.sigma_y_m = 1.0;
    }
    if (out.t_s <= last_t) out.t_s = last_t + 1e-6;
    last_t = out.t_s;
    path.points.push_back(out);
  }

  result.px_per_m = median_of(scale);
  const double disc = options.disc_diameter_sigma_m / options.disc_diameter_m;
  const double edge = std::hypot(kEdgeBiasPx / usual_reach, wander_of(points, ruler));
  // A camera that leans takes part of what is sideways for height; one off square sees it nearer on
  // the way, by half of that at the other end.
  const SidewaysPath sideways_gone = sideways_path(points);
  const double by_side = sideways_gone.slope *
                         std::hypot(roll_sigma, 0.5 * nearing.sigma_per_px * sideways_gone.span_px);
  path.scale_sigma_rel = std::hypot(disc, std::hypot(edge, ruler.unseen_sigma_rel), by_side);
  path.shutter_sigma_s_per_m = line_time_sigma_s * result.px_per_m;
  return result;
}

}  // namespace kinetics
