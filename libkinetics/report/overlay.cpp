#include "libkinetics/report/overlay.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>
#include <optional>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_writer.h"

namespace kinetics {
namespace {

// Colours told apart with any colour vision (M. Okabe, K. Ito, Color Universal Design, 2008), blue
// green red. Each is drawn over a dark outline so that it shows on any background.
const cv::Scalar kOrange(0, 159, 230);    // rising
const cv::Scalar kSkyBlue(233, 180, 86);  // lowering
const cv::Scalar kYellow(66, 228, 240);   // rim
const cv::Scalar kWhite(255, 255, 255);
const cv::Scalar kDark(24, 24, 24);

constexpr int kLongestSide = 1920;
// A number that changes with every picture cannot be read.
constexpr double kNumberHeld_s = 0.1;
constexpr std::size_t kRepsListed = 5;
// Height of a line over that of its capitals: room for what hangs below.
constexpr double kLineHeight = 1.2;
constexpr int kSubPixelBits = 4;

cv::Point sub_pixel(cv::Point2d p) {
  constexpr double kScale = 1 << kSubPixelBits;
  return {cv::saturate_cast<int>(p.x * kScale), cv::saturate_cast<int>(p.y * kScale)};
}

/// Index of the last item at or before `t_s`.
template <typename Items>
std::optional<std::size_t> at_or_before(const Items& items, double t_s) {
  constexpr double kSameInstant_s = 1e-6;
  const auto after = std::upper_bound(
      items.begin(), items.end(), t_s + kSameInstant_s, [](double t, const auto& item) {
        return t < item.t_s;
      });
  if (after == items.begin()) return std::nullopt;
  return static_cast<std::size_t>(after - items.begin() - 1);
}

double begin_s(const Rep& rep) {
  return rep.start_s - (rep.pause_s ? rep.pause_s.value() : 0.0) -
         (rep.eccentric_s ? rep.eccentric_s.value() : 0.0);
}

/// The rep under way, or else the last one done; null before the first.
const Rep* rep_at(const Session& session, double t_s) {
  const Rep* current = nullptr;
  for (const Rep& rep : session.reps) {
    if (begin_s(rep) <= t_s) current = &rep;
  }
  return current;
}

std::string velocity_text(const Measured& velocity) {
  return velocity ? fmt::format("mean {:.2f} m/s", velocity.value()) : "not measured";
}

/// One picture being drawn on.
class Drawing {
 public:
  Drawing(const Session& session, double t_s, ColourPicture& picture)
      : session_(session),
        t_s_(t_s),
        canvas_(picture.height_px, picture.width_px, CV_8UC3, picture.bgr.data()),
        scale_x_(static_cast<double>(picture.width_px) / session.clip.width_px),
        scale_y_(static_cast<double>(picture.height_px) / session.clip.height_px),
        unit_(std::min<double>(picture.height_px, 0.8 * picture.width_px)) {}

  void path();
  void rim();
  void numbers();

 private:
  /// The bar's place at one sighting.
  struct Stop {
    cv::Point2d at;
    double opacity;
    bool rising;
    bool joined;  ///< to the one before
  };
  struct Line {
    std::string text;
    double height;  ///< of a capital letter, px
    cv::Scalar colour;
  };

  [[nodiscard]] cv::Point2d on_canvas(PixelPoint p) const {
    // Both pictures count from the middle of their first pixel.
    return {(p.x_px + 0.5) * scale_x_ - 0.5, (p.y_px + 0.5) * scale_y_ - 0.5};
  }
  [[nodiscard]] double opacity(double then_s) const;
  [[nodiscard]] bool rises(double then_s) const;
  [[nodiscard]] int thickness(double share) const {
    return std::max(1, static_cast<int>(std::lround(share * unit_)));
  }
  [[nodiscard]] std::vector<Stop> stops() const;
  void blend(const cv::Mat1b& strength, const cv::Mat3b& colours, cv::Rect where);
  [[nodiscard]] std::vector<Line> lines() const;
  void write(const Line& line, cv::Point origin);
  [[nodiscard]] bool disc_mostly_left() const;
  [[nodiscard]] static double scale_for(double height) {
    return cv::getFontScaleFromHeight(cv::FONT_HERSHEY_DUPLEX, static_cast<int>(height), 1);
  }

  const Session& session_;
  double t_s_;
  cv::Mat canvas_;
  double scale_x_;
  double scale_y_;
  double unit_;  ///< what everything drawn is measured in: the picture's height, less if it is tall
};

// Bright now, fading into the past; the current rep stays in view to its end.
double Drawing::opacity(double then_s) const {
  const double age_s = t_s_ - then_s;
  const Rep* rep = rep_at(session_, t_s_);
  const bool in_current = rep != nullptr && then_s >= begin_s(*rep) && then_s <= rep->end_s;
  if (!in_current) return std::exp(-age_s / 0.7);
  const double since_end_s = std::max(0.0, t_s_ - rep->end_s);
  return (0.45 + 0.55 * std::exp(-age_s / 1.5)) * std::exp(-std::max(0.0, since_end_s - 1.0));
}

bool Drawing::rises(double then_s) const {
  const auto sample = at_or_before(session_.motion.samples, then_s);
  return sample && session_.motion.samples[*sample].velocity_mps > 0.0;
}

// The places to join, oldest first, moved along with the camera so that a knock does not bend the
// path drawn before it.
std::vector<Drawing::Stop> Drawing::stops() const {
  constexpr double kLeastOpacity = 0.03;
  constexpr double kLongest_s = 60.0;
  const std::vector<DiscSighting>& sightings = session_.disc.sightings;
  const std::optional<std::size_t> last = at_or_before(sightings, t_s_);
  std::vector<Stop> out;
  if (!last || sightings[*last].sighting == Sighting::kLost) return out;
  const PixelPoint shift_now = sightings[*last].camera_shift;
  std::size_t first = *last;
  while (first > 0 && t_s_ - sightings[first].t_s < kLongest_s) --first;

  bool joined = false;
  for (std::size_t i = first; i <= *last; ++i) {
    const DiscSighting& s = sightings[i];
    const double alpha = opacity(s.t_s);
    const bool drawn = s.sighting != Sighting::kLost && alpha >= kLeastOpacity;
    if (drawn) {
      const PixelPoint here{s.centre.x_px - s.camera_shift.x_px + shift_now.x_px,
                            s.centre.y_px - s.camera_shift.y_px + shift_now.y_px};
      out.push_back({on_canvas(here), alpha, rises(s.t_s), joined});
    }
    joined = drawn;
  }
  return out;
}

void Drawing::path() {
  const std::vector<Stop> all = stops();
  const int outline = thickness(0.012);
  const int core = thickness(0.007);
  // Only the part of the picture that the path crosses is worked on.
  cv::Rect touched;
  for (const Stop& stop : all) {
    const int margin = outline + 2;
    touched |= cv::Rect(cv::saturate_cast<int>(stop.at.x) - margin,
                        cv::saturate_cast<int>(stop.at.y) - margin,
                        2 * margin,
                        2 * margin);
  }
  touched &= cv::Rect({0, 0}, canvas_.size());
  if (touched.empty()) return;

  cv::Mat1b strength(touched.size(), std::uint8_t{0});
  cv::Mat3b colours(touched.size(), cv::Vec3b(24, 24, 24));
  const cv::Point2d corner(touched.tl());
  for (std::size_t i = 1; i < all.size(); ++i) {
    if (!all[i].joined) continue;
    const cv::Point a = sub_pixel(all[i - 1].at - corner);
    const cv::Point b = sub_pixel(all[i].at - corner);
    const cv::Scalar alpha(255.0 * all[i].opacity);
    cv::line(strength, a, b, alpha, outline, cv::LINE_AA, kSubPixelBits);
    cv::line(colours, a, b, all[i].rising ? kOrange : kSkyBlue, core, cv::LINE_AA, kSubPixelBits);
  }
  blend(strength, colours, touched);
}

void Drawing::blend(const cv::Mat1b& strength, const cv::Mat3b& colours, cv::Rect where) {
  for (int y = 0; y < where.height; ++y) {
    for (int x = 0; x < where.width; ++x) {
      const int a = strength(y, x);
      if (a == 0) continue;
      cv::Vec3b& pixel = canvas_.at<cv::Vec3b>(where.y + y, where.x + x);
      for (int k = 0; k < 3; ++k) {
        pixel[k] = static_cast<std::uint8_t>((pixel[k] * (255 - a) + colours(y, x)[k] * a) / 255);
      }
    }
  }
}

void Drawing::rim() {
  const std::optional<std::size_t> index = at_or_before(session_.disc.sightings, t_s_);
  if (!index) return;
  const DiscSighting& s = session_.disc.sightings[*index];
  if (s.sighting == Sighting::kLost) return;

  constexpr int kCorners = 96;
  constexpr int kDash = 4;
  const double tilt = std::clamp(s.tilt, -1.0, 1.0);
  std::vector<cv::Point> corners;
  for (int i = 0; i <= kCorners; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / kCorners;
    const double u = std::cos(angle);
    const double v = std::sin(angle);
    // The lower triangle of the ellipse's extents, as of a covariance.
    const PixelPoint rim_point{
        s.centre.x_px + s.half_width_px * u,
        s.centre.y_px + s.half_height_px * (tilt * u + std::sqrt(1.0 - tilt * tilt) * v)};
    corners.push_back(sub_pixel(on_canvas(rim_point)));
  }
  const bool dashed = s.sighting == Sighting::kCoasted;
  const auto stroke = [&](const cv::Scalar& colour, int width) {
    for (int i = 0; i < kCorners; ++i) {
      if (dashed && (i / kDash) % 2 == 1) continue;
      const auto at = static_cast<std::size_t>(i);
      cv::line(canvas_, corners[at], corners[at + 1], colour, width, cv::LINE_AA, kSubPixelBits);
    }
  };
  stroke(kDark, thickness(0.0075));
  stroke(kYellow, thickness(0.0035));
  const cv::Point centre = sub_pixel(on_canvas(s.centre));
  const int radius = thickness(0.006) << kSubPixelBits;
  cv::circle(canvas_, centre, radius * 3 / 2, kDark, cv::FILLED, cv::LINE_AA, kSubPixelBits);
  cv::circle(canvas_, centre, radius, kYellow, cv::FILLED, cv::LINE_AA, kSubPixelBits);
}

std::vector<Drawing::Line> Drawing::lines() const {
  std::vector<Line> out;
  const double shown_s =
      std::floor(t_s_ * session_.clip.slow_motion_factor / kNumberHeld_s + 1e-6) * kNumberHeld_s /
      session_.clip.slow_motion_factor;
  const auto sample = at_or_before(session_.motion.samples, shown_s);
  const bool known = sample && session_.motion.samples[*sample].measured;
  const double velocity = known ? session_.motion.samples[*sample].velocity_mps : 0.0;
  // Rounded first: a bar at rest must not flicker between 0.00 and -0.00.
  const double rounded = std::round(velocity * 100.0) / 100.0 + 0.0;
  out.push_back({known ? fmt::format("{: .2f} m/s", rounded == 0.0 ? 0.0 : rounded) : " -.-- m/s",
                 0.062 * unit_,
                 rounded > 0.0   ? kOrange
                 : rounded < 0.0 ? kSkyBlue
                                 : kWhite});
  const Rep* current = rep_at(session_, t_s_);
  std::vector<Line> reps;
  const bool many_sets = !session_.reps.empty() && session_.reps.back().set > 1;
  for (const Rep& rep : session_.reps) {
    if (current == nullptr || &rep > current || rep.set != current->set) continue;
    const std::string name = many_sets ? fmt::format("Set {} rep {}", rep.set, rep.number)
                                       : fmt::format("Rep {}", rep.number);
    const bool done = t_s_ > rep.end_s;
    std::string text =
        done ? fmt::format("{}  {}", name, velocity_text(rep.mean_velocity_mps)) : name;
    if (done) {
      for (const FlagKind flag : rep.flags) {
        if (flag != FlagKind::kNotMeasured) text += fmt::format("  {}", in_words(flag));
      }
    }
    reps.push_back({text, 0.030 * unit_, kWhite});
  }
  const std::size_t skipped = reps.size() > kRepsListed ? reps.size() - kRepsListed : 0;
  out.insert(out.end(), reps.begin() + static_cast<std::ptrdiff_t>(skipped), reps.end());
  const auto sighting = at_or_before(session_.disc.sightings, t_s_);
  if (!sighting || session_.disc.sightings[*sighting].sighting != Sighting::kSeen) {
    out.push_back({"disc hidden", 0.026 * unit_, kYellow});
  }
  return out;
}

bool Drawing::disc_mostly_left() const {
  double sum = 0.0;
  double count = 0.0;
  for (const DiscSighting& s : session_.disc.sightings) {
    if (s.sighting != Sighting::kSeen) continue;
    sum += s.centre.x_px;
    count += 1.0;
  }
  return count > 0.0 && sum / count < 0.5 * session_.clip.width_px;
}

void Drawing::write(const Line& line, cv::Point origin) {
  const int stroke = std::max(1, static_cast<int>(std::lround(line.height * 0.07)));
  const auto put = [&](const cv::Scalar& colour, int width) {
    cv::putText(canvas_,
                line.text,
                origin,
                cv::FONT_HERSHEY_DUPLEX,
                scale_for(line.height),
                colour,
                width,
                cv::LINE_AA);
  };
  put(kDark, stroke + thickness(0.006));
  put(line.colour, stroke);
}

void Drawing::numbers() {
  const std::vector<Line> all = lines();
  const double gap = 0.022 * unit_;
  double width = 0.0;
  double height = gap;
  for (const Line& line : all) {
    const double scale = scale_for(line.height);
    const cv::Size size = cv::getTextSize(line.text, cv::FONT_HERSHEY_DUPLEX, scale, 1, nullptr);
    width = std::max<double>(width, size.width);
    height += kLineHeight * line.height + gap;
  }
  // A width that does not jump with the digits.
  width = std::max(width, 0.42 * unit_) + 2.0 * gap;
  const double left = disc_mostly_left() ? canvas_.cols - gap - width : gap;
  const cv::Rect panel = cv::Rect(cv::Point2d(left, gap), cv::Size2d(width, height)) &
                         cv::Rect({0, 0}, canvas_.size());
  cv::Mat behind = canvas_(panel);
  behind.convertTo(behind, -1, 0.35, 8.0);

  double baseline = gap;
  for (const Line& line : all) {
    baseline += gap + line.height;
    const cv::Point origin(static_cast<int>(left + gap), static_cast<int>(baseline));
    write(line, origin);
    baseline += (kLineHeight - 1.0) * line.height;
  }
}

/// Where pictures were not taken at the times they carry, reps and path have the real times, the
/// disc those of the clip.
Session by_real_time(const Session& session) {
  Session out = session;
  auto& sightings = out.disc.sightings;
  for (std::size_t i = 0; i < std::min(sightings.size(), out.path.points.size()); ++i) {
    sightings[i].t_s = out.path.points[i].t_s;
  }
  return out;
}

/// Of the picture with this stamp; the stamp itself where nothing was followed.
double real_time_s(const Session& session, const Session& timed, double stamp_s) {
  constexpr double kSameS = 1e-6;
  const auto& stamps = session.disc.sightings;
  const auto at = std::lower_bound(
      stamps.begin(), stamps.end(), stamp_s - kSameS, [](const DiscSighting& s, double t_s) {
        return s.t_s < t_s;
      });
  if (at == stamps.end() || at->t_s > stamp_s + kSameS) return stamp_s;
  return timed.disc.sightings[static_cast<std::size_t>(at - stamps.begin())].t_s;
}

}  // namespace

void draw_overlay(const Session& session, double t_s, ColourPicture& picture) {
  Drawing drawing(session, t_s, picture);
  drawing.path();
  drawing.rim();
  drawing.numbers();
}

void write_overlay(const Session& session,
                   const std::string& clip_path,
                   const std::string& out_path,
                   const Progress& progress) {
  std::error_code ignored;
  if (std::filesystem::equivalent(clip_path, out_path, ignored)) {
    throw Error(ErrorCode::kUsage,
                out_path,
                "the annotated clip would replace the clip itself",
                "Choose another name");
  }
  ClipReader clip(clip_path, session.options.clip);
  std::optional<ClipWriter> writer;
  const Session timed = by_real_time(session);
  while (const std::optional<Frame> frame = clip.next()) {
    ColourPicture picture = to_colour(*frame, clip.info(), kLongestSide);
    draw_overlay(timed, real_time_s(session, timed, frame->t_s), picture);
    if (!writer) writer.emplace(out_path, picture.width_px, picture.height_px);
    writer->add(picture, frame->t_s * clip.info().slow_motion_factor);
    if (progress) progress(clip.fraction_read());
  }
  if (writer) writer->finish();
}

}  // namespace kinetics
