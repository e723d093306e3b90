#include "samples/render/film.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <opencv2/imgproc.hpp>

#include "samples/render/canvas.h"
#include "samples/render/encode.h"
#include "samples/render/stage.h"

namespace render {
namespace {

constexpr int kMostExposures = 12;
constexpr int kTicksPerSecond = 90000;
// Noise is cut from one long strip at a random place for every row.
constexpr int kNoiseStrip = 1 << 18;

struct Painted {
  Outline outline{};
  Fill fill;
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

class Film {
 public:
  explicit Film(const Scene& scene)
      : scene_(scene),
        camera_(scene.camera),
        bar_(script_motion(scene.motion, scene.seed)),
        random_(scene.seed ^ 0x9E3779B97F4A7C15ULL) {
    width_ = scene.camera.width_px;
    height_ = scene.camera.height_px;
    paint_background();
    make_noise();
  }

  ClipTruth shoot(const std::string& path) {
    const CaptureSpec& cap = scene_.capture;
    Encoder encoder(path,
                    {.codec = cap.codec,
                     .width_px = width_,
                     .height_px = height_,
                     .crf = cap.crf,
                     .ticks_per_s = kTicksPerSecond,
                     .frame_rate_hz = cap.frame_rate_hz});
    ClipTruth truth{.disc_diameter_m = scene_.disc.diameter_m};
    for (const RepMark& mark : bar_.reps) truth.reps.push_back(measure(mark, bar_.height));
    const auto frames = static_cast<std::int64_t>(bar_.end_s * cap.frame_rate_hz);
    for (std::int64_t i = 0; i < frames; ++i) {
      const auto ticks = std::llround(double(i) * kTicksPerSecond / cap.frame_rate_hz);
      const double t = double(ticks) / kTicksPerSecond;
      expose(t);
      Canvas picture = encoder.blank();
      develop(picture);
      encoder.add(std::move(picture), ticks);
      truth.frames.push_back(truth_at(i, t));
    }
    encoder.finish();
    return truth;
  }

 private:
  Fill fill_for(const Patch& patch) const {
    Fill fill{.colour = yuv_from(patch.colour), .opacity = patch.opacity};
    if (patch.texture > 0.0) {
      const Pixel at = camera_.px_from_gym(patch.anchor);
      fill.texture = patch.texture;
      fill.texture_x = static_cast<int>(std::lround(at.x));
      fill.texture_y = static_cast<int>(std::lround(at.y));
    }
    return fill;
  }

  Painted painted(const Patch& patch) const {
    Painted out{.fill = fill_for(patch)};
    for (const GymPoint& p : patch.outline) out.outline.push_back(camera_.px_from_gym(p));
    return out;
  }

  // Every corner where it is when its own row is read: rows are read one after another, and within
  // the short readout a corner's image moves evenly.
  std::vector<Painted> seen_at(double t) const {
    const double readout = scene_.capture.readout_s;
    std::vector<Painted> out;
    if (readout <= 0.0) {
      for (const Patch& patch : moving(scene_, bar_, t)) out.push_back(painted(patch));
    } else {
      const Patches before = moving(scene_, bar_, t - 0.5 * readout);
      const Patches after = moving(scene_, bar_, t + 0.5 * readout);
      for (std::size_t k = 0; k < before.size(); ++k) {
        Painted a = painted(before[k]);
        const Painted b = painted(after[k]);
        for (std::size_t c = 0; c < a.outline.size(); ++c) {
          const Pixel step = b.outline[c] - a.outline[c];
          const Pixel mid = a.outline[c] + 0.5 * step;
          const double rows = (mid.y - 0.5 * (height_ - 1)) / (height_ - step.y);
          a.outline[c] = mid + rows * step;
        }
        out.push_back(std::move(a));
      }
    }
    for (std::size_t k = 0; const Patch& patch : moving(scene_, bar_, t)) {
      if (patch.wrap) out[k].outline = wrapped(out[k].outline);
      ++k;
    }
    return out;
  }

  Pixel centre_seen_at(double t) const {
    Pixel at = camera_.px_from_gym(disc_centre(bar_, t));
    for (int i = 0; i < 4; ++i) {
      const double later = scene_.capture.readout_s * (at.y - 0.5 * (height_ - 1)) / height_;
      at = camera_.px_from_gym(disc_centre(bar_, t + later));
    }
    return at;
  }

  void paint_background() {
    sharp_ = Canvas(width_, height_);
    for (const Patch& patch : still_behind(scene_)) {
      const Painted p = painted(patch);
      brush_.fill(sharp_, p.outline, p.fill, sharp_.frame());
    }
    for (const Patch& patch : still_in_front(scene_)) front_.push_back(painted(patch));
    work_ = Canvas(width_, height_);
    sharp_.y.copyTo(work_.y);
    sharp_.u.copyTo(work_.u);
    sharp_.v.copyTo(work_.v);
    for (const Painted& p : front_) brush_.fill(work_, p.outline, p.fill, work_.frame());
    ready_ = Canvas(width_, height_);
    blur(work_.frame());
    work_.u.copyTo(ready_.u);
    work_.v.copyTo(ready_.v);
    dirty_ = {};
  }

  void blur(cv::Rect where) {
    const double sigma = scene_.capture.blur_sigma_px;
    const cv::Mat1b from = work_.y(where);
    cv::Mat1b to = ready_.y(where);
    if (sigma > 0.05)
      cv::GaussianBlur(from, to, {}, sigma, sigma, cv::BORDER_REPLICATE);
    else
      from.copyTo(to);
  }

  void restore(cv::Rect where) {
    const cv::Rect half(where.x / 2, where.y / 2, where.width / 2, where.height / 2);
    sharp_.y(where).copyTo(work_.y(where));
    sharp_.u(half).copyTo(work_.u(half));
    sharp_.v(half).copyTo(work_.v(half));
  }

  cv::Rect evened(cv::Rect r, int margin) const {
    const cv::Rect big =
        cv::Rect(r.x - margin, r.y - margin, r.width + 2 * margin, r.height + 2 * margin) &
        work_.frame();
    const int x0 = big.x & ~1, y0 = big.y & ~1;
    return cv::Rect(cv::Point(x0, y0), cv::Point((big.br().x + 1) & ~1, (big.br().y + 1) & ~1)) &
           work_.frame();
  }

  void draw(const std::vector<Painted>& actors, cv::Rect window) {
    restore(window);
    for (const Painted& p : actors) brush_.fill(work_, p.outline, p.fill, window);
    for (const Painted& p : front_) brush_.fill(work_, p.outline, p.fill, window);
  }

  void expose(double t) {
    const double exposure = scene_.capture.exposure_s;
    const Pixel open = camera_.px_from_gym(disc_centre(bar_, t - 0.5 * exposure));
    const Pixel shut = camera_.px_from_gym(disc_centre(bar_, t + 0.5 * exposure));
    const double smear = std::hypot(shut.x - open.x, shut.y - open.y);
    const int n = std::clamp(static_cast<int>(std::ceil(smear / 0.8)), 1, kMostExposures);
    std::vector<std::vector<Painted>> parts;
    cv::Rect box;
    for (int k = 0; k < n; ++k) {
      parts.push_back(seen_at(t + exposure * ((k + 0.5) / n - 0.5)));
      for (const Painted& p : parts.back()) box |= bounds(p.outline) & work_.frame();
    }
    const int halo = 2 + static_cast<int>(std::ceil(4.0 * scene_.capture.blur_sigma_px));
    const cv::Rect now = evened(box, halo);
    const cv::Rect window = evened(now | dirty_, 0);
    for (int k = 0; k < n; ++k) {
      draw(parts[static_cast<std::size_t>(k)], window);
      if (n == 1) break;
      if (k == 0)
        work_.y(window).convertTo(light_, CV_16U);
      else
        cv::add(light_, work_.y(window), light_, cv::noArray(), CV_16U);
    }
    if (n > 1) light_.convertTo(work_.y(window), CV_8U, 1.0 / n);
    blur(window);
    const cv::Rect half(window.x / 2, window.y / 2, window.width / 2, window.height / 2);
    work_.u(half).copyTo(ready_.u(half));
    work_.v(half).copyTo(ready_.v(half));
    dirty_ = now;
  }

  void make_noise() {
    noise_.resize(kNoiseStrip + 8192);
    std::normal_distribution<float> normal(0.0F, 1.0F);
    std::mt19937 engine(static_cast<unsigned>(scene_.seed));
    // Sixteenths of a grey level, so that rounding dithers instead of making steps.
    for (auto& n : noise_)
      n = static_cast<std::int16_t>(
          std::clamp(normal(engine) * 16.0F * float(scene_.capture.noise_sigma), -2000.F, 2000.F));
  }

  void develop(Canvas& picture) {
    for (int r = 0; r < height_; ++r) {
      const std::uint8_t* in = ready_.y.ptr(r);
      std::uint8_t* out = picture.y.ptr(r);
      const std::int16_t* noise = &noise_[random_() % kNoiseStrip];
      for (int c = 0; c < width_; ++c) {
        const int v = (16 * in[c] + noise[c] + 8) >> 4;
        out[c] = static_cast<std::uint8_t>(std::clamp(v, 0, 255));
      }
    }
    ready_.u.copyTo(picture.u);
    ready_.v.copyTo(picture.v);
  }

  FrameTruth truth_at(std::int64_t index, double t) const {
    const Jet height = bar_.height.at(t);
    return {.index = index,
            .t_s = t,
            .x_m = bar_.x.at(t).value,
            .height_m = height.value,
            .velocity_mps = height.rate,
            .disc_centre = centre_seen_at(t)};
  }

  const Scene& scene_;
  Camera camera_;
  BarMotion bar_;
  std::mt19937 random_;
  int width_ = 0, height_ = 0;
  Brush brush_;
  Canvas sharp_;  // still things behind the bar
  Canvas work_;   // the scene being drawn
  Canvas ready_;  // after the lens
  cv::Mat light_;
  cv::Rect dirty_;
  std::vector<Painted> front_;
  std::vector<std::int16_t> noise_;
};

}  // namespace

ClipTruth render_scene(const Scene& scene, const std::string& path) {
  return Film(scene).shoot(path);
}

}  // namespace render
