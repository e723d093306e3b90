#include "samples/render/film.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <opencv2/imgproc.hpp>

#include "samples/render/canvas.h"
#include "samples/render/develop.h"
#include "samples/render/encode.h"
#include "samples/render/shake.h"
#include "samples/render/shutter.h"
#include "samples/render/stage.h"

namespace render {
namespace {

constexpr int kMostExposures = 12;
// Sub-exposures lie this far apart at most; each edge is one pixel soft already.
constexpr double kExposureStep_px = 0.9;
// Still background kept beyond the picture's border, for a camera that shakes.
constexpr int kMargin_px = 64;

struct Painted {
  Outline outline{};
  Fill fill;
};

struct PaintedActor {
  std::vector<Painted> parts;
  bool hides_disc = false;
  cv::Rect box;
};

Outline wrapped(const Outline& cloud) {
  std::vector<cv::Point2f> in;
  for (const Pixel& p : cloud) in.emplace_back(float(p.x), float(p.y));
  std::vector<int> order;
  cv::convexHull(in, order);
  Outline out;
  for (const int k : order) out.push_back(cloud[static_cast<std::size_t>(k)]);
  return out;
}

cv::Rect bounds(const Outline& outline) {
  double x0 = 1e9, x1 = -1e9, y0 = 1e9, y1 = -1e9;
  for (const Pixel& p : outline) {
    x0 = std::min(x0, p.x), x1 = std::max(x1, p.x);
    y0 = std::min(y0, p.y), y1 = std::max(y1, p.y);
  }
  const auto whole = [](double v) { return static_cast<int>(std::clamp(v, -1e5, 1e5)); };
  return {cv::Point(whole(std::floor(x0)), whole(std::floor(y0))),
          cv::Point(whole(std::ceil(x1)) + 2, whole(std::ceil(y1)) + 2)};
}

// Whether an actor is painted in the same places. Its colours change with the turn only.
bool same(const PaintedActor& a, const PaintedActor& b) {
  if (a.box != b.box || a.parts.size() != b.parts.size()) return false;
  for (std::size_t k = 0; k < a.parts.size(); ++k) {
    const Outline& p = a.parts[k].outline;
    const Outline& q = b.parts[k].outline;
    const bool equal =
        p.size() == q.size() &&
        std::equal(p.begin(), p.end(), q.begin(), [](const Pixel& u, const Pixel& v) {
          return u.x == v.x && u.y == v.y;
        });
    if (!equal) return false;
  }
  return true;
}

// Boxes that touch become one, until none touch.
void merge_touching(std::vector<cv::Rect>& boxes) {
  for (bool merged = true; merged;) {
    merged = false;
    for (std::size_t a = 0; a < boxes.size() && !merged; ++a)
      for (std::size_t b = a + 1; b < boxes.size() && !merged; ++b)
        if (!(boxes[a] & boxes[b]).empty()) {
          boxes[a] |= boxes[b];
          boxes.erase(boxes.begin() + std::ptrdiff_t(b));
          merged = true;
        }
  }
}

// Least squares of a x² + b xy + c y² + d x + e y = 1 about the points' mean, then the place where
// the conic's gradient is zero.
Pixel ellipse_centre(const std::vector<Pixel>& points) {
  Pixel mean;
  for (const Pixel& p : points) mean = mean + (1.0 / double(points.size())) * p;
  cv::Mat1d a(static_cast<int>(points.size()), 5), ones(static_cast<int>(points.size()), 1, 1.0), q;
  constexpr double kScale = 0.01;  // keeps the powers near 1
  for (int k = 0; k < a.rows; ++k) {
    const Pixel p = kScale * (points[static_cast<std::size_t>(k)] - mean);
    const double row[] = {p.x * p.x, p.x * p.y, p.y * p.y, p.x, p.y};
    for (int c = 0; c < 5; ++c) a(k, c) = row[c];
  }
  cv::solve(a, ones, q, cv::DECOMP_SVD);
  const double det = 4.0 * q(0) * q(2) - q(1) * q(1);
  return mean + (1.0 / kScale) * Pixel{(q(1) * q(4) - 2.0 * q(2) * q(3)) / det,
                                       (q(1) * q(3) - 2.0 * q(0) * q(4)) / det};
}

class Film {
 public:
  explicit Film(const Scene& scene)
      : scene_(scene),
        width_(scene.camera.width_px),
        height_(scene.camera.height_px),
        camera_(scene.camera),
        turns_(script_turns(scene)),
        shake_(scene.knocks, scene.tremor_px, scene.seed),
        shutter_(scene.capture, width_, height_),
        developer_(scene.capture, shutter_, width_, height_, scene.seed) {
    paint_background();
  }

  ClipTruth shoot(const std::string& path) {
    ClipTruth truth{.disc_diameter_m = scene_.disc.diameter_m};
    for (const Turn& turn : turns_) {
      const BarMotion& bar = turn.motions.bar;
      for (const RepMark& mark : bar.reps) {
        truth.reps.push_back(measure(mark, bar.height));
        truth.reps.back().start_s += bar.begins_s;
        truth.reps.back().end_s += bar.begins_s;
      }
    }
    const BarMotion& last = turns_.back().motions.bar;
    const double end_s = std::max(scene_.length_s, last.begins_s + last.end_s);
    const Schedule schedule = make_schedule(scene_.capture, end_s, scene_.seed);
    Encoder encoder(path, encode_spec(scene_, schedule));
    Canvas shown;  // kept when it is shown again
    for (std::size_t i = 0; i < schedule.shots.size(); ++i) {
      const Shot& shot = schedule.shots[i];
      while (turn_ + 1 < turns_.size() && shot.taken_s >= turns_[turn_ + 1].from_s) {
        ++turn_;
        last_.clear();  // other discs, other clothes
      }
      Canvas picture = encoder.blank();
      if (shot.repeats) {
        copy(shown, picture);
      } else {
        expose(shot.taken_s);
        developer_.develop(ready_, shot.taken_s, picture);
      }
      if (i + 1 < schedule.shots.size() && schedule.shots[i + 1].repeats) copy(picture, shown);
      encoder.add(std::move(picture), shot.ticks);
      // A day has too many frames, and nobody asks for them one by one.
      if (scene_.turns.empty())
        truth.frames.push_back(truth_at(static_cast<std::int64_t>(i), shot));
    }
    encoder.finish();
    return truth;
  }

 private:
  static void copy(const Canvas& from, Canvas& to) {
    from.y.copyTo(to.y);
    from.u.copyTo(to.u);
    from.v.copyTo(to.v);
  }

  const Turn& turn() const { return turns_[turn_]; }
  const BarMotion& bar() const { return turn().motions.bar; }

  Fill fill_for(const Patch& patch, const PictureShift& shift) const {
    Fill fill{.colour = yuv_from(patch.colour), .opacity = patch.opacity};
    if (patch.onto) fill.onto = yuv_from(*patch.onto);
    if (patch.texture > 0.0) {
      const Pixel at = shifted(camera_.px_from_gym(patch.anchor), shift, width_, height_);
      fill.texture = patch.texture;
      fill.texture_x = static_cast<int>(std::lround(at.x));
      fill.texture_y = static_cast<int>(std::lround(at.y));
    }
    return fill;
  }

  // Corners as a global shutter would see them at time t.
  std::vector<PaintedActor> projected(double t) const {
    const PictureShift shift = shake_.at(t);
    std::vector<PaintedActor> out;
    for (const Actor& actor : actors(turn().scene, turn().motions, t)) {
      PaintedActor& to = out.emplace_back();
      to.hides_disc = actor.hides_disc;
      for (const Patch& patch : actor.patches) {
        Painted p{.fill = fill_for(patch, shift)};
        p.outline.reserve(patch.outline.size());
        for (const GymPoint& q : patch.outline)
          p.outline.push_back(shifted(camera_.px_from_gym(q), shift, width_, height_));
        p.fill.wrap = patch.wrap;
        to.parts.push_back(std::move(p));
      }
    }
    return out;
  }

  // Every corner where it is when its own row is read.
  std::vector<PaintedActor> seen_at(double t) const {
    std::vector<PaintedActor> out;
    if (shutter_.global()) {
      out = projected(t);
    } else {
      out = projected(t);
      const std::vector<PaintedActor> before = projected(t - 0.5 * shutter_.readout_s());
      const std::vector<PaintedActor> after = projected(t + 0.5 * shutter_.readout_s());
      for (std::size_t a = 0; a < out.size(); ++a)
        for (std::size_t k = 0; k < out[a].parts.size(); ++k) {
          Outline& outline = out[a].parts[k].outline;
          for (std::size_t c = 0; c < outline.size(); ++c)
            outline[c] = shutter_.read_between(
                before[a].parts[k].outline[c], outline[c], after[a].parts[k].outline[c]);
        }
    }
    for (PaintedActor& actor : out)
      for (Painted& p : actor.parts) {
        if (p.fill.wrap) p.outline = wrapped(p.outline);
        actor.box |= bounds(p.outline) & work_.frame();
      }
    return out;
  }

  Pixel in_picture(GymPoint p, double t) const {
    return shifted(camera_.px_from_gym(p), shake_.at(t), width_, height_);
  }

  // Where a point of the near disc's outer face is seen, each at its own row's time.
  Pixel seen_on_disc(double t, GymPoint from_centre) const {
    const auto place = [&](double at) {
      return in_picture(disc_centre(bar(), at) + from_centre, at);
    };
    Pixel at = place(t);
    if (shutter_.global()) return at;
    for (int i = 0; i < 5; ++i) at = place(t + shutter_.delay_s(at));
    return at;
  }

  Pixel rim_centre_seen_at(double t) const {
    constexpr int kPoints = 36;
    std::vector<Pixel> rim;
    for (int k = 0; k < kPoints; ++k) {
      const double a = 2.0 * std::numbers::pi * k / kPoints, r = 0.5 * turn().scene.disc.diameter_m;
      rim.push_back(seen_on_disc(t, {r * std::cos(a), r * std::sin(a), 0.0}));
    }
    return ellipse_centre(rim);
  }

  void paint_background() {
    const int margin = shake_.ever() ? kMargin_px : 0;
    wide_ = Canvas(width_ + 2 * margin, height_ + 2 * margin);
    for (const Patch& patch : still_behind(scene_)) {
      Outline outline = camera_.outline_from_gym(patch.outline);
      for (Pixel& p : outline) p = p + Pixel{double(margin), double(margin)};
      if (outline.size() < 3) continue;
      Fill fill = fill_for(patch, {});
      fill.texture_x += margin;
      fill.texture_y += margin;
      brush_.fill(wide_, outline, fill, wide_.frame());
    }
    still_front_ = still_in_front(scene_);
    sharp_ = Canvas(width_, height_);
    work_ = Canvas(width_, height_);
    ready_ = Canvas(width_, height_);
    place_background({});
  }

  // Moves the still things to where the camera now sees them.
  void place_background(const PictureShift& shift) {
    placed_ = shift;
    if (!shake_.ever()) {
      wide_.y.copyTo(sharp_.y);
      wide_.u.copyTo(sharp_.u);
      wide_.v.copyTo(sharp_.v);
    } else {
      const double c = std::cos(shift.turn_rad), s = std::sin(shift.turn_rad);
      const double cx = 0.5 * (width_ - 1), cy = 0.5 * (height_ - 1);
      // Where a pixel of the picture comes from in the wide background.
      const auto from = [&](double scale) {
        const double mx = cx - cx * c - cy * s - c * shift.dx_px - s * shift.dy_px + kMargin_px;
        const double my = cy + cx * s - cy * c + s * shift.dx_px - c * shift.dy_px + kMargin_px;
        return cv::Matx23d(c, s, mx * scale, -s, c, my * scale);
      };
      constexpr int kHow = cv::INTER_CUBIC | cv::WARP_INVERSE_MAP;
      cv::warpAffine(wide_.y, sharp_.y, from(1.0), sharp_.y.size(), kHow, cv::BORDER_REPLICATE);
      cv::warpAffine(wide_.u, sharp_.u, from(0.5), sharp_.u.size(), kHow, cv::BORDER_REPLICATE);
      cv::warpAffine(wide_.v, sharp_.v, from(0.5), sharp_.v.size(), kHow, cv::BORDER_REPLICATE);
    }
    front_.clear();
    for (const Patch& patch : still_front_) {
      Painted p{.outline = camera_.outline_from_gym(patch.outline), .fill = fill_for(patch, shift)};
      for (Pixel& q : p.outline) q = shifted(q, shift, width_, height_);
      if (p.outline.size() >= 3) front_.push_back(std::move(p));
    }
    draw({}, work_.frame());
    finish(work_.frame());
    dirty_.clear();
    last_.clear();
  }

  void draw(const std::vector<PaintedActor>& cast, cv::Rect window) {
    const cv::Rect half = halved(window);
    sharp_.y(window).copyTo(work_.y(window));
    sharp_.u(half).copyTo(work_.u(half));
    sharp_.v(half).copyTo(work_.v(half));
    for (const PaintedActor& actor : cast)
      if (!(actor.box & window).empty())
        for (const Painted& p : actor.parts) brush_.fill(work_, p.outline, p.fill, window);
    for (const Painted& p : front_) brush_.fill(work_, p.outline, p.fill, window);
  }

  // The lens, from the drawing to what falls on the sensor.
  void finish(cv::Rect where) {
    const double sigma = scene_.capture.blur_sigma_px;
    cv::Mat1b to = ready_.y(where);
    if (sigma > 0.05)
      cv::GaussianBlur(work_.y(where), to, {}, sigma, sigma, cv::BORDER_REPLICATE);
    else
      work_.y(where).copyTo(to);
    const cv::Rect half = halved(where);
    work_.u(half).copyTo(ready_.u(half));
    work_.v(half).copyTo(ready_.v(half));
  }

  static cv::Rect halved(cv::Rect r) { return {r.x / 2, r.y / 2, r.width / 2, r.height / 2}; }

  cv::Rect evened(cv::Rect r, int margin) const {
    const cv::Rect big =
        cv::Rect(r.x - margin, r.y - margin, r.width + 2 * margin, r.height + 2 * margin) &
        work_.frame();
    if (big.empty()) return {};
    const int x0 = big.x & ~1, y0 = big.y & ~1;
    return cv::Rect(cv::Point(x0, y0), cv::Point((big.br().x + 1) & ~1, (big.br().y + 1) & ~1)) &
           work_.frame();
  }

  // How many sub-exposures the fastest thing in the picture needs.
  int exposures_at(double t) const {
    const double half = 0.5 * scene_.capture.exposure_s;
    const Pixel open = in_picture(disc_centre(bar(), t - half), t - half);
    const Pixel shut = in_picture(disc_centre(bar(), t + half), t + half);
    double smear = std::hypot(shut.x - open.x, shut.y - open.y);
    const double px_per_m = scene_.camera.focal_px / scene_.camera.distance_m;
    for (const WalkerSpec& w : scene_.walkers)
      if (std::abs(w.speed_mps * (t - w.at_s)) < 3.0)
        smear = std::max(smear, 0.7 * std::abs(w.speed_mps) * 2.0 * half * px_per_m);
    return std::clamp(static_cast<int>(std::ceil(smear / kExposureStep_px)), 1, kMostExposures);
  }

  void expose(double t) {
    const PictureShift shift = shake_.at(t);
    if (!(shift == placed_)) place_background(shift);
    const int n = exposures_at(t);
    std::vector<std::vector<PaintedActor>> parts;
    std::vector<cv::Rect> now;
    for (int k = 0; k < n; ++k) {
      parts.push_back(seen_at(t + scene_.capture.exposure_s * ((k + 0.5) / n - 0.5)));
      for (std::size_t a = 0; a < parts.back().size(); ++a) {
        if (now.size() <= a) now.emplace_back();
        now[a] |= parts.back()[a].box;
      }
    }
    const int halo = 2 + static_cast<int>(std::ceil(4.0 * scene_.capture.blur_sigma_px));
    for (cv::Rect& r : now) r = evened(r, halo);
    std::vector<cv::Rect> windows;
    for (std::size_t a = 0; a < std::max(now.size(), dirty_.size()); ++a) {
      // What has not moved since the last picture is still there.
      if (a < last_.size() && a < now.size() && same(parts.front()[a], last_[a]) &&
          same(parts.back()[a], last_[a]))
        continue;
      if (a < now.size()) windows.push_back(now[a]);
      if (a < dirty_.size()) windows.push_back(dirty_[a]);
    }
    std::erase_if(windows, [](const cv::Rect& r) { return r.empty(); });
    merge_touching(windows);
    for (const cv::Rect& window : windows) expose_window(parts, window);
    dirty_ = now;
    last_ = std::move(parts[static_cast<std::size_t>(n / 2)]);
  }

  void expose_window(const std::vector<std::vector<PaintedActor>>& parts, cv::Rect window) {
    const std::size_t n = parts.size();
    for (std::size_t k = 0; k < n; ++k) {
      draw(parts[k], window);
      if (n == 1) break;
      if (k == 0)
        work_.y(window).convertTo(light_, CV_16U);
      else
        cv::add(light_, work_.y(window), light_, cv::noArray(), CV_16U);
    }
    if (n > 1) {
      cv::Mat1b to = work_.y(window);
      light_.convertTo(to, CV_8U, 1.0 / double(n));
    }
    finish(window);
  }

  // Share of the disc's outline that is inside the picture and behind nothing.
  double visible_share(double t) const {
    constexpr int kRays = 72;
    const GymPoint c = disc_centre(bar(), t);
    const double r = 0.5 * turn().scene.disc.diameter_m;
    std::vector<std::vector<cv::Point2f>> hiders;
    const auto add = [&](const Outline& outline) {
      auto& to = hiders.emplace_back();
      for (const Pixel& p : outline) to.emplace_back(float(p.x), float(p.y));
    };
    for (const PaintedActor& actor : last_)
      if (actor.hides_disc)
        for (const Painted& p : actor.parts) add(p.outline);
    for (const Painted& p : front_) add(p.outline);
    int seen = 0;
    for (int k = 0; k < kRays; ++k) {
      const double a = 2.0 * std::numbers::pi * k / kRays;
      const Pixel p = in_picture({c.x + r * std::cos(a), c.y + r * std::sin(a), c.z}, t);
      if (p.x < 0.0 || p.y < 0.0 || p.x > width_ - 1.0 || p.y > height_ - 1.0) continue;
      const cv::Point2f at(float(p.x), float(p.y));
      seen += std::none_of(hiders.begin(), hiders.end(), [&](const auto& h) {
        return cv::pointPolygonTest(h, at, false) > 0.0;
      });
    }
    return double(seen) / kRays;
  }

  FrameTruth truth_at(std::int64_t index, const Shot& shot) const {
    const double t = shot.taken_s;
    const Jet height = bar().height.at(t - bar().begins_s);
    return {.index = index,
            .t_s = t,
            .stamp_s = shot.stamp_s,
            .x_m = bar().x.at(t - bar().begins_s).value,
            .height_m = height.value,
            .velocity_mps = height.rate,
            .disc_centre = seen_on_disc(t, {}),
            .rim_centre = rim_centre_seen_at(t),
            .visible_share = visible_share(t)};
  }

  const Scene& scene_;
  int width_, height_;
  Camera camera_;
  std::vector<Turn> turns_;
  std::size_t turn_ = 0;  // the one that is shown
  Shake shake_;
  Shutter shutter_;
  Developer developer_;
  Brush brush_;
  Canvas wide_;   // still things behind the bar, with a margin
  Canvas sharp_;  // the same as the camera now sees them
  Canvas work_;   // the scene being drawn
  Canvas ready_;  // after the lens
  PictureShift placed_;
  cv::Mat light_;
  std::vector<cv::Rect> dirty_;
  Patches still_front_;
  std::vector<Painted> front_;
  std::vector<PaintedActor> last_;
};

}  // namespace

ClipTruth render_scene(const Scene& scene, const std::string& path) {
  return Film(scene).shoot(path);
}

}  // namespace render
