#include "libkinetics/tracking/disc_finder.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <thread>

#include <opencv2/imgproc.hpp>

#include "libkinetics/core/share_work.h"
#include "libkinetics/tracking/circle_finder.h"
#include "libkinetics/tracking/image.h"
#include "libkinetics/tracking/rim_census.h"
#include "libkinetics/tracking/sleeve.h"

namespace kinetics {
namespace {

/// Short side of the picture discs are looked for in, px. A 450 mm disc seen at 6 m by a wide phone
/// lens still has a radius of 10 px in it.
constexpr int kSmallSide = 300;
/// Least rim at birth. Later, a third is enough, since place and size are then known.
constexpr double kRimAtBirth = 0.50;
constexpr double kRimWhenPointedAt = 0.35;
/// Where the bar may point to, in picture widths right of the middle and heights below it.
struct View {
  double side = 0.0, below = 0.0;
};
/// Square on; 20° and 30° off to either side; from 15 to 20° above and below, square or off.
constexpr View kViews[] = {{0.0, 0.0},
                           {-0.3, 0.0},
                           {0.3, 0.0},
                           {-0.5, 0.0},
                           {0.5, 0.0},
                           {0.0, -0.5},
                           {-0.3, -0.5},
                           {0.3, -0.5},
                           {0.0, 0.5}};
/// How far from the disc the bar points to where the sleeve shows the way, in picture widths: 15 to
/// 40° off square.
constexpr double kAlongSleeve[] = {0.25, 0.4, 0.55, 0.7};
constexpr double kSizesAlongSleeve[] = {0.98, 1.05, 1.12};
/// One disc, or two or three of one colour, as a share of the distance.
constexpr double kDepthsAlongSleeve[] = {0.013, 0.033};
/// Focal length of a phone's camera over the picture's long side.
constexpr double kUsualFocal = 0.9;
/// A view whose first fit agrees so much less than the best one's is not looked into.
constexpr double kFarBehind = 0.15;
/// Settling seldom raises a first fit's agreement by more than this: in one of some fifty.
constexpr double kMostGained = 0.12;
/// A view that agrees by so much less is likely e times less: agreement falls by 2/4.685² a ray and
/// squared sigma, of some 80 rays about a quarter are independent, and views are asked for in four
/// pictures of a disc at least.
constexpr double kAgreeAlike = 0.0025;
/// What has not changed since the last look was judged then: all edges are gone through only once
/// in so many looks, the moving ones every time.
constexpr int kLooksPerWhole = 4;
constexpr double kTrialSizes[] = {0.91, 0.95, 0.98, 1.01, 1.05, 1.10};
/// A hub is about a quarter of its disc; of the picture's short side this much at the most.
constexpr double kLargestHub = 0.045;
constexpr double kSmallestHubPx = 9.0;
constexpr double kRimOfHub = 0.7;
constexpr double kNarrowest = 0.70;  // 45° off square: beyond what we correct
constexpr double kSmallestRadiusPx = 16.0;

/// How many times smaller the picture that is searched is.
int small_factor(const LumaView& picture) {
  const double side = std::min(picture.width, picture.height);
  return std::max(1, static_cast<int>(std::lround(side / kSmallSide)));
}

double roundness(const Ellipse& e) {
  const double sum = e.shape.trace();
  const double det = e.shape.determinant();
  const double root = std::sqrt(std::max(0.0, sum * sum / 4.0 - det));
  return (sum / 2.0 - root) / (sum / 2.0 + root);
}

/// The depth is learned a little at a time: lets it settle on this picture.
std::optional<RimFit> settled(const LumaView& picture, RimFit fit, const RimOptions& options) {
  RimOptions again = options;
  again.search_px = std::min(options.search_px, 4.0);
  again.shape_sigma_rel = 0.02;
  for (int pass = 0; pass < 4; ++pass) {
    again.depth = fit.depth;
    const auto next = measure_rim(picture, fit.ellipse, again);
    if (!next) return std::nullopt;
    fit = *next;
  }
  return fit;
}

/// The outermost factor at which most of a concentric rim is seen, or 1.
double outermost_rim(const LumaView& picture, const Ellipse& ellipse) {
  const std::vector<float> seen = census_of_rims(picture, ellipse).mean();
  for (int b = RimCensus::kCount - 2; RimCensus::factor(b) > 1.04; --b) {
    const auto k = static_cast<std::size_t>(b);
    const bool peak = seen[k] >= seen[k - 1] && seen[k] >= seen[k + 1];
    if (peak && seen[k] > 0.60F) return RimCensus::factor(b);
  }
  return 1.0;
}

/// One idea of the rim, and of the disc's depth.
struct Idea {
  Ellipse rim;
  DiscDepth depth;
};

/// Seen from the side the front rim is narrower than the outline and lies off its middle, away from
/// where the bar points; from above or below likewise.
std::vector<Idea> any_ideas(const Ellipse& outline, const LumaView& picture) {
  std::vector<Idea> ideas;
  for (const View& view : kViews) {
    const double narrow = 1.0 - 0.5 * view.side * view.side;
    const double flat = 1.0 - 0.16 * view.below * view.below;
    Ellipse start = outline;
    start.shape(0, 0) *= narrow;
    start.shape(1, 1) *= flat;
    start.centre.x() -= std::copysign((1.0 - narrow) * outline.half_width_px(), view.side);
    start.centre.y() -= std::copysign((1.0 - flat) * outline.half_height_px(), view.below);
    ideas.push_back({start, DiscDepth::guess(picture, view.side, view.below)});
  }
  return ideas;
}

/// Those that a sleeve across the face bears out: by its outline alone a disc that shows its tread
/// on the left looks like one that shows it on the right.
std::vector<Idea> ideas_along(const Eigen::Vector2d& sleeve,
                              const Ellipse& outline,
                              const LumaView& picture) {
  std::vector<Idea> ideas;
  const double width = picture.width;
  const double height = picture.height;
  const double focal_px = kUsualFocal * std::max(width, height);
  const double radius = outline.mean_radius_px();
  Eigen::Matrix2d turn;
  turn << sleeve.x(), -sleeve.y(), sleeve.y(), sleeve.x();
  for (const double share : kAlongSleeve) {
    const Eigen::Vector2d at = outline.centre - share * width * sleeve;
    const DiscDepth usual = DiscDepth::guess(
        picture, (at.x() - 0.5 * (width - 1)) / width, (at.y() - 0.5 * (height - 1)) / height);
    const double narrow = std::cos(std::atan(share * width / focal_px));
    for (const double thick : kDepthsAlongSleeve) {
      DiscDepth depth = usual;
      depth.value(0) = depth.first_value(0) = thick;
      // The outline is that of the front rim and the rear one together.
      const Eigen::Vector2d centre = outline.centre + 0.5 * thick * share * width * sleeve;
      for (const double size : kSizesAlongSleeve) {
        const Eigen::Vector2d axes(size * radius * narrow, size * radius);
        ideas.push_back({{centre, turn * axes.asDiagonal() * turn.transpose()}, depth});
      }
    }
  }
  return ideas;
}

/// How far the sizes lie apart that views tell which agree with the rim as well as the best one.
double view_sigma_rel(const std::vector<RimFit>& fits, const RimFit& best) {
  double weights = 0.0;
  double square = 0.0;
  for (const RimFit& fit : fits) {
    const double off = std::log(fit.ellipse.half_height_px() / best.ellipse.half_height_px());
    const double weight = std::exp(-(best.agreement - fit.agreement) / kAgreeAlike);
    weights += weight;
    square += weight * off * off;
  }
  return std::sqrt(square / weights);
}

}  // namespace

std::optional<RimFit> best_view(const LumaView& picture,
                                const Ellipse& guess,
                                const RimOptions& options,
                                double least_agreement) {
  std::vector<RimFit> trials;
  const auto sleeve = sleeve_direction(picture, guess);
  const std::vector<Idea> ideas =
      sleeve ? ideas_along(*sleeve, guess, picture) : any_ideas(guess, picture);
  for (const Idea& idea : ideas) {
    RimOptions trial = options;
    trial.depth = idea.depth;
    if (const auto fit = measure_rim(picture, idea.rim, trial)) trials.push_back(*fit);
  }
  double most = 0.0;
  for (const RimFit& trial : trials) most = std::max(most, trial.agreement);
  const double least = std::max(most - kFarBehind, least_agreement - kMostGained);
  std::vector<RimFit> fits;
  for (const RimFit& trial : trials) {
    if (trial.agreement < least) continue;
    if (const auto fit = settled(picture, trial, options)) fits.push_back(*fit);
  }
  const auto best = std::max_element(fits.begin(), fits.end(), [](const auto& a, const auto& b) {
    return a.agreement < b.agreement;
  });
  if (best == fits.end()) return std::nullopt;
  best->view_sigma_rel = view_sigma_rel(fits, *best);
  best->sleeve_seen = sleeve.has_value();
  return *best;
}

std::optional<RimFit> wider_rim(const LumaView& picture, const RimFit& fit, double least_rim) {
  const double factor = outermost_rim(picture, fit.ellipse);
  if (factor <= 1.0) return std::nullopt;
  return best_view(picture,
                   fit.ellipse.scaled(factor),
                   {.search_px = 0.04 * fit.ellipse.mean_radius_px() + 1.5,
                    .shape_sigma_rel = 0.05,
                    .depth = fit.depth,
                    .min_rim_seen = least_rim});
}

std::optional<RimFit> confirm_disc(const LumaView& picture,
                                   const Eigen::Vector2d& centre_px,
                                   double radius_px,
                                   double least_rim,
                                   double least_agreement) {
  // Sizes are tried one by one and held nearly fixed: given free rein, the fit would reach for the
  // lifter's head or shoulder behind the disc.
  std::optional<RimFit> rough;
  for (const double factor : kTrialSizes) {
    const Ellipse guess{centre_px, factor * radius_px * Eigen::Matrix2d::Identity()};
    const RimOptions first{.search_px = 0.12 * radius_px + 2.0,
                           .shape_sigma_rel = 0.02,
                           .depth = DiscDepth::guess(picture, 0.0),
                           .min_rim_seen = 0.25};
    const auto trial = measure_rim(picture, guess, first);
    if (trial && (!rough || trial->agreement > rough->agreement)) rough = trial;
  }
  if (!rough || rough->rim_seen < 0.7 * least_rim) return std::nullopt;
  RimOptions second{.search_px = 0.04 * radius_px + 3.0,
                    .shape_sigma_rel = 0.05,
                    .depth = DiscDepth::guess(picture, 0.0),
                    .min_rim_seen = 0.25};
  std::optional<RimFit> fit = best_view(picture, rough->ellipse, second, least_agreement);
  if (!fit) return std::nullopt;
  if (const auto outer = wider_rim(picture, *fit, least_rim)) fit = outer;
  if (fit->rim_seen < least_rim || roundness(fit->ellipse) < kNarrowest ||
      fit->ellipse.mean_radius_px() < kSmallestHubPx) {
    return std::nullopt;
  }
  return fit;
}

namespace {

/// A rim far outside a small round thing: the disc whose hub it is. Its own edge may be too faint
/// for the small picture (a dark disc before a dark floor).
std::optional<RimFit> disc_around_hub(const LumaView& picture, const RimFit& hub) {
  std::optional<RimFit> best;
  const double side = std::min(picture.width, picture.height);
  if (hub.ellipse.mean_radius_px() > kLargestHub * side) return best;
  const double largest = 0.30 * side;
  for (double factor = 1.6; factor < 6.0; factor *= 1.06) {
    const Ellipse guess = hub.ellipse.scaled(factor);
    const double radius = guess.mean_radius_px();
    if (radius > largest) break;
    const auto trial = measure_rim(picture,
                                   guess,
                                   {.search_px = 0.06 * radius + 2.0,
                                    .shape_sigma_rel = 0.02,
                                    .depth = hub.depth,
                                    .min_rim_seen = 0.55});
    if (trial && trial->agreement > 0.40 && (!best || trial->agreement > best->agreement - 0.10)) {
      best = trial;
    }
  }
  if (!best) return std::nullopt;
  return best_view(picture,
                   best->ellipse,
                   {.search_px = 0.03 * best->ellipse.mean_radius_px() + 2.0,
                    .shape_sigma_rel = 0.05,
                    .depth = best->depth,
                    .min_rim_seen = kRimAtBirth});
}

/// The disc that a circle is of, if one.
std::optional<RimFit> disc_at(const LumaView& picture,
                              const Eigen::Vector2d& centre,
                              double radius_px,
                              bool may_be_hub) {
  std::optional<RimFit> fit = confirm_disc(picture, centre, radius_px, kRimAtBirth);
  if (!fit) return std::nullopt;
  // Too small for a disc it may still be the hub of one.
  if (may_be_hub) {
    if (const auto wider = disc_around_hub(picture, *fit)) fit = wider;
  }
  if (fit->ellipse.mean_radius_px() < kSmallestRadiusPx) return std::nullopt;
  return fit;
}

/// A rim inside a followed disc is its lip or hub; one outside may be its true rim.
bool is_followed(const std::vector<Ellipse>& followed,
                 const Eigen::Vector2d& centre,
                 double radius_px) {
  return std::any_of(followed.begin(), followed.end(), [&](const Ellipse& e) {
    return (e.centre - centre).norm() < 0.35 * e.mean_radius_px() &&
           radius_px < 1.15 * e.mean_radius_px();
  });
}

}  // namespace

std::optional<RimFit> find_disc_at(const LumaView& picture, const Eigen::Vector2d& place_px) {
  const int factor = small_factor(picture);
  const cv::Mat1b small = shrink(picture, factor);
  const double longest = 0.45 * std::min(small.cols, small.rows);
  std::optional<RimFit> best;
  for (const Circle& c :
       find_circles(small, {.max_radius_px = longest, .min_score = 0.15, .max_count = 60})) {
    const Eigen::Vector2d centre(factor * (c.x_px + 0.5) - 0.5, factor * (c.y_px + 0.5) - 0.5);
    if ((centre - place_px).norm() > factor * c.radius_px) continue;
    const auto fit = confirm_disc(picture, centre, factor * c.radius_px, kRimWhenPointedAt);
    if (!fit || fit->ellipse.mean_radius_px() < kSmallestRadiusPx) continue;
    if (!best || fit->rim_seen > best->rim_seen) best = fit;
  }
  return best;
}

std::optional<RimFit> hub_of(const LumaView& picture, const RimFit& disc) {
  std::optional<RimFit> best;
  for (double factor = 0.16; factor < 0.5; factor *= 1.07) {
    const Ellipse guess = disc.ellipse.scaled(factor);
    const double radius = guess.mean_radius_px();
    if (radius < kSmallestHubPx) continue;
    const auto trial = measure_rim(picture,
                                   guess,
                                   {.search_px = 0.15 * radius + 2.0,
                                    .shape_sigma_rel = 0.03,
                                    .depth = DiscDepth::none(),
                                    .min_rim_seen = kRimOfHub});
    if (trial && (!best || trial->agreement > best->agreement)) best = trial;
  }
  return best && best->agreement > 0.5 ? best : std::nullopt;
}

std::vector<RimFit> DiscFinder::look_in_column(const LumaView& picture,
                                               const Ellipse& like,
                                               const std::vector<Ellipse>& followed) {
  constexpr double kHalfWidthRadii = 3.0;
  const double radius = like.mean_radius_px();
  const int left = std::max(0, static_cast<int>(like.centre.x() - kHalfWidthRadii * radius));
  const int right =
      std::min(picture.width, static_cast<int>(like.centre.x() + kHalfWidthRadii * radius));
  const int factor = small_factor(picture);
  if (right - left < 2.0 * radius || right - left < 3 * factor) return {};
  LumaView column = picture;
  column.origin += left * picture.step_x;
  column.width = right - left;
  std::vector<RimFit> discs;
  for (const Circle& c : find_circles(shrink(column, factor),
                                      {.min_radius_px = 0.8 * radius / factor,
                                      .max_radius_px = 1.25 * radius / factor,
                                      .max_count = 3})) {
    const Eigen::Vector2d centre(left + factor * (c.x_px + 0.5) - 0.5,
                                 factor * (c.y_px + 0.5) - 0.5);
    if (is_followed(followed, centre, factor * c.radius_px)) continue;
    const auto fit = confirm_disc(picture, centre, factor * c.radius_px, kRimAtBirth);
    if (fit) discs.push_back(*fit);
  }
  return discs;
}

std::vector<RimFit> DiscFinder::look(const LumaView& picture,
                                     const std::vector<Ellipse>& followed,
                                     double least_radius_px) {
  const int factor = small_factor(picture);
  const cv::Mat1b small = shrink(picture, factor);
  const double longest = 0.30 * std::min(small.cols, small.rows);
  // A little below the least, since the voting is coarse.
  const double shortest = std::max(7.0, 0.85 * least_radius_px / factor);
  std::vector<Circle> circles;
  if (looks_++ % kLooksPerWhole == 0) {
    circles =
        find_circles(small, {.min_radius_px = shortest, .max_radius_px = longest, .max_count = 10});
  }
  if (last_.size() == small.size()) {
    cv::Mat difference;
    cv::absdiff(small, last_, difference);
    cv::Mat1b moving = difference > 6;
    cv::dilate(moving, moving, cv::Mat::ones(3, 3, CV_8U));
    const std::vector<Circle> more = find_circles(
        small,
        {.min_radius_px = shortest, .max_radius_px = longest, .min_score = 0.25, .max_count = 6},
        moving);
    circles.insert(circles.end(), more.begin(), more.end());
  }
  last_ = small;

  const auto centre_of = [&](const Circle& c) {
    return Eigen::Vector2d(factor * (c.x_px + 0.5) - 0.5, factor * (c.y_px + 0.5) - 0.5);
  };
  std::erase_if(circles, [&](const Circle& c) {
    return is_followed(followed, centre_of(c), factor * c.radius_px);
  });
  const bool remembers = memory_ == Memory::kOfJudged;
  // Hubs are smaller than what is passed over once the discs' size is known.
  const bool may_be_hub = !remembers || least_radius_px <= 0.0;
  const auto judge = [&](const Circle& c) {
    return disc_at(picture, centre_of(c), factor * c.radius_px, may_be_hub);
  };
  std::vector<RimFit> discs;
  if (remembers) {
    for (const Circle& c : circles) {
      const JudgedCircle* before = judged_.find(small, c);
      const auto disc = before ? before->disc : judge(c);
      if (!before) judged_.keep(small, c, disc);
      if (disc) discs.push_back(*disc);
    }
  } else {
    std::vector<std::optional<RimFit>> judged(circles.size());
    share_work(cores(), circles.size(), [&](std::size_t k) { judged[k] = judge(circles[k]); });
    for (const auto& disc : judged) {
      if (disc) discs.push_back(*disc);
    }
  }
  // Near discs are larger, and a full rim is more convincing than a partial one.
  const auto merit = [](const RimFit& f) {
    return f.rim_seen * std::sqrt(f.ellipse.mean_radius_px());
  };
  std::sort(discs.begin(), discs.end(), [&](const RimFit& a, const RimFit& b) {
    return merit(a) > merit(b);
  });
  std::vector<RimFit> apart;
  for (const RimFit& d : discs) {
    const auto same = std::find_if(apart.begin(), apart.end(), [&](const RimFit& a) {
      const double radius = std::max(a.ellipse.mean_radius_px(), d.ellipse.mean_radius_px());
      return (a.ellipse.centre - d.ellipse.centre).norm() < 0.4 * radius;
    });
    // Of concentric rims the widest is the disc's, the others its lip, groove or hub.
    if (same == apart.end()) {
      apart.push_back(d);
    } else if (d.ellipse.mean_radius_px() > 1.05 * same->ellipse.mean_radius_px()) {
      *same = d;
    }
  }
  return apart;
}

}  // namespace kinetics
