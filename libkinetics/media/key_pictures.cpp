#include "libkinetics/media/key_pictures.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "libkinetics/media/clip_source.h"
#include "libkinetics/media/held_picture.h"
#include "libkinetics/media/orientation.h"

namespace kinetics {

struct KeyPictures::Impl {
  explicit Impl(const ClipInfo& clip)
      : source(clip.path, 1),
        orientation(orientation_of(clip.rotation_deg, clip.mirrored)),
        base{source.stream().time_base.num, source.stream().time_base.den},
        ticks_per_s(clip.slow_motion_factor * base.den / base.num) {
    const libav::Picture first = source.next();
    if (first && first->best_effort_timestamp != AV_NOPTS_VALUE) {
      first_stamp = first->best_effort_timestamp;
    }
  }

  [[nodiscard]] std::int64_t stamp_at(double t_s) const {
    return *first_stamp + static_cast<std::int64_t>(std::floor(t_s * ticks_per_s));
  }

  ClipSource source;
  Orientation orientation;
  TimeBase base;
  double ticks_per_s;
  LumaMaker luma_maker;
  std::optional<std::int64_t> first_stamp;
  std::int64_t last_stamp = 0;  ///< of the last key picture, or where it would have been
  std::int64_t wanted_from = 0;
  bool at_end = false;
};

KeyPictures::KeyPictures(const ClipInfo& clip) : impl_(std::make_unique<Impl>(clip)) {}
KeyPictures::~KeyPictures() = default;

bool KeyPictures::go_after(double t_s) {
  Impl& i = *impl_;
  if (!i.first_stamp) return false;
  i.last_stamp = i.stamp_at(t_s);
  i.wanted_from = i.last_stamp + 1;
  i.at_end = false;
  return i.source.jump_before(std::max(*i.first_stamp, i.last_stamp));
}

std::optional<Frame> KeyPictures::next() {
  Impl& i = *impl_;
  const auto most = static_cast<std::int64_t>(kMostApartS * i.ticks_per_s);
  while (const AVPacket* packet = i.source.next_packet()) {
    if (packet->pts == AV_NOPTS_VALUE || packet->pts > i.last_stamp + most) return std::nullopt;
    if (!is_key(*packet) || packet->pts < i.wanted_from) continue;
    i.last_stamp = packet->pts;
    i.wanted_from = i.last_stamp + static_cast<std::int64_t>(kLeastApartS * i.ticks_per_s);
    libav::Picture picture = i.source.decode_alone(*packet);
    if (!picture) continue;
    Frame frame;
    frame.stamp = {i.last_stamp, i.base};
    frame.t_s = static_cast<double>(i.last_stamp - *i.first_stamp) / i.ticks_per_s;
    frame.pixels = i.luma_maker.hold(std::move(picture), i.orientation, frame.luma);
    return frame;
  }
  i.at_end = true;
  return std::nullopt;
}

bool KeyPictures::at_end() const {
  return impl_->at_end;
}

}  // namespace kinetics
