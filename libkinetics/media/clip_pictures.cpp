#include "libkinetics/media/clip_pictures.h"

#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_source.h"
#include "libkinetics/media/held_picture.h"
#include "libkinetics/media/orientation.h"

namespace kinetics {
namespace {

// One thread: a decoder that works ahead on several pictures is slow to give the first.
constexpr int kThreads = 1;
// Decoding on is cheaper than jumping when the wanted picture is as near as this.
constexpr double kNear_s = 1.0;

}  // namespace

struct ClipPictures::Impl {
  Impl(const std::string& clip_path, ClipInfo clip_info)
      : path(clip_path),
        info(std::move(clip_info)),
        orientation(orientation_of(info.rotation_deg, info.mirrored)) {
    open();
  }

  void open();
  void step();
  [[nodiscard]] double time_of(const AVFrame& picture) const;
  [[nodiscard]] bool jumped_before(double stored_s);
  void go_to(double stored_s);

  std::string path;
  ClipInfo info;
  Orientation orientation;
  std::unique_ptr<ClipSource> source;
  LumaMaker luma_maker;
  std::int64_t first_stamp = 0;
  libav::Picture before;  ///< the last two pictures that were decoded
  libav::Picture current;
};

// Stored seconds since the first picture shown. A picture without a time of its own is taken to
// come one period after the one before.
double ClipPictures::Impl::time_of(const AVFrame& picture) const {
  return static_cast<double>(picture.best_effort_timestamp - first_stamp) *
         av_q2d(source->stream().time_base);
}

void ClipPictures::Impl::open() {
  source = std::make_unique<ClipSource>(path, kThreads);
  before.reset();
  current = source->next();
  if (!current) {
    throw Error(ErrorCode::kUnreadable,
                path,
                "not one of its pictures could be decoded",
                "Copy the clip again from the phone or camera");
  }
  if (current->best_effort_timestamp == AV_NOPTS_VALUE) current->best_effort_timestamp = 0;
  first_stamp = current->best_effort_timestamp;
}

void ClipPictures::Impl::step() {
  before = std::move(current);
  current = source->next();
  if (!current || current->best_effort_timestamp != AV_NOPTS_VALUE || !before) return;
  const double rate_hz = source->stored_rate_hz().value_or(25.0);
  current->best_effort_timestamp =
      before->best_effort_timestamp +
      static_cast<std::int64_t>(std::llround(1.0 / rate_hz / av_q2d(source->stream().time_base)));
}

// A key picture stored before the place may be shown after it: then one farther back is tried.
bool ClipPictures::Impl::jumped_before(double stored_s) {
  const double tick_s = av_q2d(source->stream().time_base);
  for (const double margin_s : {0.0, 1.0, 4.0}) {
    before.reset();
    const auto ticks = static_cast<std::int64_t>(std::floor((stored_s - margin_s) / tick_s));
    if (!source->jump_before(first_stamp + ticks)) return false;
    current = source->next();
    if (!current || current->best_effort_timestamp == AV_NOPTS_VALUE) return false;
    if (time_of(*current) <= stored_s || current->best_effort_timestamp <= first_stamp) return true;
  }
  return false;
}

// Leaves `before` at or before the wanted time and `current` after it, as far as the clip allows.
void ClipPictures::Impl::go_to(double stored_s) {
  const bool ahead = current && time_of(*(before ? before : current)) <= stored_s &&
                     stored_s - time_of(*current) < kNear_s;
  if (!ahead && !jumped_before(stored_s)) open();
  while (current && time_of(*current) <= stored_s) step();
}

ClipPictures::ClipPictures(const std::string& path, ClipInfo info)
    : impl_(std::make_unique<Impl>(path, std::move(info))) {}
ClipPictures::~ClipPictures() = default;
ClipPictures::ClipPictures(ClipPictures&&) noexcept = default;
ClipPictures& ClipPictures::operator=(ClipPictures&&) noexcept = default;

ColourPicture ClipPictures::at(double t_s, int longest_side_px) {
  Impl& my = *impl_;
  const double stored_s = t_s * my.info.slow_motion_factor;
  my.go_to(stored_s);
  const auto distance_s = [&](const libav::Picture& picture) {
    return picture ? std::abs(my.time_of(*picture) - stored_s) : INFINITY;
  };
  const libav::Picture& nearest =
      distance_s(my.before) <= distance_s(my.current) ? my.before : my.current;
  if (!nearest) {
    throw Error(ErrorCode::kUnreadable,
                fmt::format("{} at {:.2f} s", my.path, t_s),
                "no picture could be decoded there",
                "Copy the clip again from the phone or camera");
  }
  libav::Picture copy(av_frame_clone(nearest.get()));
  if (!copy) throw Error(ErrorCode::kInternal, my.path, "memory ran out", "Close other programs");
  Frame frame;
  frame.t_s = t_s;
  frame.pixels = my.luma_maker.hold(std::move(copy), my.orientation, frame.luma);
  return to_colour(frame, my.info, longest_side_px);
}

}  // namespace kinetics
