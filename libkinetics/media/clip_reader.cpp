#include "libkinetics/media/clip_reader.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

#include <fmt/format.h>

extern "C" {
#include <libavutil/display.h>
#include <libavutil/pixdesc.h>
}

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_source.h"
#include "libkinetics/media/held_picture.h"
#include "libkinetics/media/orientation.h"
#include "libkinetics/media/slow_motion.h"
#include "libkinetics/media/stamp_mender.h"

namespace kinetics {
namespace {

// Assumed when a recording states neither times nor a rate; FFmpeg assumes the same.
constexpr double kFallbackRateHz = 25.0;
// Below this the container's own tag only repeats the stored rate.
constexpr double kLeastTaggedFactor = 1.5;

Orientation stated_orientation(const AVStream& stream) {
  std::size_t size = 0;
  const std::uint8_t* data = av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, &size);
  if (data == nullptr || size < 9 * sizeof(std::int32_t)) return {};
  return orientation_of(
      std::span<const std::int32_t, 9>(reinterpret_cast<const std::int32_t*>(data), 9));
}

double pixel_aspect_of(const ClipSource& source, AVFrame& picture, bool swapped) {
  const AVRational stored =
      av_guess_sample_aspect_ratio(const_cast<AVFormatContext*>(&source.container()),
                                   const_cast<AVStream*>(&source.stream()),
                                   &picture);
  if (stored.num <= 0 || stored.den <= 0) return 1.0;
  const double aspect = av_q2d(stored);
  // Beyond any camera's: such a number comes from a damaged header.
  if (aspect < 0.1 || aspect > 10.0) return 1.0;
  return swapped ? 1.0 / aspect : aspect;
}

std::optional<double> tagged_capture_rate(const ClipSource& source) {
  constexpr const char* kTag = "com.android.capture.fps";
  for (const AVDictionary* tags : {source.container().metadata, source.stream().metadata}) {
    const AVDictionaryEntry* entry = av_dict_get(tags, kTag, nullptr, 0);
    if (entry != nullptr) return rate_from_tag(entry->value);
  }
  return std::nullopt;
}

std::string count_of(std::size_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

}  // namespace

struct ClipReader::Impl {
  struct Waiting {
    std::shared_ptr<const HeldPicture> held;
    LumaView luma;
  };

  Impl(const std::string& path, const ClipOptions& options);
  void describe(const std::string& path, AVFrame& first);
  void decide_speed(const ClipOptions& options);
  void accept(libav::Picture picture);
  [[nodiscard]] std::optional<Frame> next();
  void hurry_to(double t_s);
  void conclude();
  void note(NoteKind kind, std::string text) { notes.push_back({kind, std::move(text)}); }

  ClipSource source;
  Orientation orientation;
  ClipInfo info;
  TimeBase base;
  StampMender mender;
  LumaMaker luma_maker;
  std::deque<Waiting> waiting;
  std::int64_t next_index = 0;
  std::int64_t first_stamp = 0;
  double last_stored_s = 0.0;
  double last_t_s = 0.0;
  bool at_end = false;
  std::optional<std::size_t> notes_before_end;  ///< once the end was reached
  Notes notes;
};

namespace {

double period_ticks(const ClipSource& source) {
  const double rate_hz = source.stored_rate_hz().value_or(kFallbackRateHz);
  return 1.0 / (rate_hz * av_q2d(source.stream().time_base));
}

}  // namespace

ClipReader::Impl::Impl(const std::string& path, const ClipOptions& options)
    : source(path, options.threads),
      orientation(stated_orientation(source.stream())),
      base{source.stream().time_base.num, source.stream().time_base.den},
      mender(period_ticks(source)) {
  // The first picture tells what the container only promises: size, depth, pixel shape.
  libav::Picture first = source.next();
  if (!first) {
    throw Error(ErrorCode::kUnreadable,
                path,
                fmt::format("not one of its pictures could be decoded ({} video)",
                            avcodec_get_name(source.stream().codecpar->codec_id)),
                "The file is damaged: copy it again from the phone or camera");
  }
  describe(path, *first);
  decide_speed(options);
  accept(std::move(first));
}

void ClipReader::Impl::describe(const std::string& path, AVFrame& first) {
  const AVPixFmtDescriptor* format = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(first.format));
  info.path = path;
  info.container = source.container().iformat->name;
  info.codec = avcodec_get_name(source.stream().codecpar->codec_id);
  info.width_px = orientation.swapped ? first.height : first.width;
  info.height_px = orientation.swapped ? first.width : first.height;
  info.pixel_aspect = pixel_aspect_of(source, first, orientation.swapped);
  info.rotation_deg = rotation_deg(orientation);
  info.mirrored = mirrored(orientation);
  info.recorded_at = source.recorded_at();
  info.bit_depth = format->comp[0].depth;
  info.frame_rate_hz = source.stored_rate_hz().value_or(0.0);
  info.duration_s = source.duration_s();
  info.readout = readout_of(orientation);
  if (!orientation.exact) {
    note(NoteKind::kCaution,
         fmt::format("The clip asks to be shown at an angle that is no quarter turn; it was "
                     "turned by {} degrees. Heights are tilted by the rest.",
                     info.rotation_deg));
  }
  if (source.picture_tracks() > 1) {
    note(NoteKind::kDecision,
         fmt::format("The file holds {} picture tracks; the one with the largest picture was "
                     "used.",
                     source.picture_tracks()));
  }
}

void ClipReader::Impl::decide_speed(const ClipOptions& options) {
  const double stored_hz = source.stored_rate_hz().value_or(kFallbackRateHz);
  if (options.capture_rate_hz) {
    const double capture_hz = *options.capture_rate_hz;
    if (!std::isfinite(capture_hz) || capture_hz < 0.98 * stored_hz) {
      throw Error(ErrorCode::kUsage,
                  info.path,
                  fmt::format("a capture rate of {:g} pictures a second is below the {:g} it is "
                              "stored at",
                              capture_hz,
                              stored_hz),
                  "Give the rate the camera was set to, or leave it out");
    }
    info.slow_motion_factor = slow_motion_factor(capture_hz, stored_hz);
    if (info.slow_motion_factor == 1.0) return;
    note(NoteKind::kDecision,
         fmt::format("Times were divided by {:g}: filmed at {:g} pictures a second as given, "
                     "stored at {:g}.",
                     info.slow_motion_factor,
                     capture_hz,
                     stored_hz));
    return;
  }
  const std::optional<double> tagged_hz = tagged_capture_rate(source);
  if (!tagged_hz || *tagged_hz <= kLeastTaggedFactor * stored_hz) return;
  info.slow_motion_factor = slow_motion_factor(*tagged_hz, stored_hz);
  note(NoteKind::kDecision,
       fmt::format("Times were divided by {:g}: the file says it was filmed at {:g} pictures a "
                   "second and is stored at {:g}. If it plays at normal speed, give {:g} as the "
                   "capture rate.",
                   info.slow_motion_factor,
                   *tagged_hz,
                   stored_hz,
                   stored_hz));
}

void ClipReader::Impl::accept(libav::Picture picture) {
  const std::int64_t stamp = picture->best_effort_timestamp;
  mender.push(stamp == AV_NOPTS_VALUE ? std::nullopt : std::optional(stamp));
  Waiting entry;
  entry.held = luma_maker.hold(std::move(picture), orientation, entry.luma);
  waiting.push_back(std::move(entry));
}

std::optional<Frame> ClipReader::Impl::next() {
  std::optional<MendedStamp> stamp = mender.pop();
  while (!stamp && !at_end) {
    if (libav::Picture picture = source.next()) {
      accept(std::move(picture));
    } else {
      at_end = true;
      mender.close();
    }
    stamp = mender.pop();
  }
  if (!stamp) {
    conclude();
    return std::nullopt;
  }

  last_stored_s = stamp->ticks_since_first * base.num / base.den;
  Frame frame;
  frame.index = next_index++;
  const double t_s = last_stored_s / info.slow_motion_factor;
  // Times a hair apart may round to one double; the promise is that they never do.
  frame.t_s = next_index == 1 ? t_s : std::max(t_s, std::nextafter(last_t_s, INFINITY));
  last_t_s = frame.t_s;
  frame.stamp = {stamp->stored_ticks, base};
  if (frame.index == 0) first_stamp = stamp->stored_ticks;
  frame.stamp_repaired = stamp->repaired;
  frame.luma = waiting.front().luma;
  frame.pixels = std::move(waiting.front().held);
  waiting.pop_front();
  return frame;
}

void ClipReader::Impl::hurry_to(double t_s) {
  if (next_index == 0 && t_s <= 0.0) return;
  if (next_index == 0) (void)next();
  if (!mender.flawless()) return;
  // A container may look for the time at which a key picture is decoded: a little before its own.
  constexpr double kReorderedS = 0.2;
  const double stored_s = std::max(0.0, t_s - kReorderedS) * info.slow_motion_factor;
  const double ticks = stored_s * base.den / base.num;
  const std::int64_t stamp = first_stamp + static_cast<std::int64_t>(ticks);
  if (!source.jump_before(stamp)) return;
  waiting.clear();
  libav::Picture picture = source.next();
  mender.go_on_at(picture ? picture->best_effort_timestamp : stamp);
  if (picture) accept(std::move(picture));
  last_t_s = -1.0;
  at_end = false;
  // There is more to tell when the end is reached again.
  if (notes_before_end) notes.resize(*notes_before_end);
  notes_before_end.reset();
}

void ClipReader::Impl::conclude() {
  if (notes_before_end) return;
  notes_before_end = notes.size();
  const StampCounts& stamps = mender.counts();
  const SourceCounts& pictures = source.counts();
  if (stamps.good == 0) {
    note(NoteKind::kCaution,
         fmt::format("The recording carries no picture times; {:g} pictures a second were "
                     "assumed. Velocities are off by as much as that rate is.",
                     source.stored_rate_hz().value_or(kFallbackRateHz)));
  } else if (stamps.missing > 0) {
    note(NoteKind::kCaution,
         fmt::format("{} without a time of its own; it was interpolated.",
                     count_of(stamps.missing, "picture was", "pictures were")));
  }
  if (stamps.disordered > 0) {
    note(NoteKind::kCaution,
         fmt::format("{} a time out of order; it was interpolated between the neighbours.",
                     count_of(stamps.disordered, "picture had", "pictures had")));
  }
  if (stamps.restarts > 0) {
    note(NoteKind::kCaution,
         fmt::format("The clip's clock jumped {}; it was taken to run on without a gap.",
                     count_of(stamps.restarts, "time", "times")));
  }
  if (pictures.damaged + pictures.undecodable > 0) {
    note(NoteKind::kCaution,
         fmt::format(
             "{} damaged and left out.",
             count_of(pictures.damaged + pictures.undecodable, "picture was", "pictures were")));
  }
  if (pictures.other_size > 0) {
    note(NoteKind::kCaution,
         fmt::format("{} another size than the first and left out.",
                     count_of(pictures.other_size, "picture was of", "pictures were of")));
  }
  if (pictures.interlaced > 0) {
    note(NoteKind::kCaution,
         "The clip is interlaced: each picture mixes two instants. Film progressive instead.");
  }
  if (const std::optional<double> missing = source.missing_s()) {
    note(NoteKind::kCaution,
         fmt::format("The recording ends {:.1f} s before the length it states: it was cut off. "
                     "What is there was used.",
                     *missing));
  } else if (!source.stopped_by().empty()) {
    note(NoteKind::kCaution,
         fmt::format("Reading stopped at {:.1f} s: {}. What is there was used.",
                     last_stored_s,
                     source.stopped_by()));
  }
}

ClipReader::ClipReader(const std::string& path, const ClipOptions& options)
    : impl_(std::make_unique<Impl>(path, options)) {}
ClipReader::~ClipReader() = default;
ClipReader::ClipReader(ClipReader&&) noexcept = default;
ClipReader& ClipReader::operator=(ClipReader&&) noexcept = default;

const ClipInfo& ClipReader::info() const {
  return impl_->info;
}
std::optional<Frame> ClipReader::next() {
  return impl_->next();
}
void ClipReader::hurry_to(double t_s) {
  impl_->hurry_to(t_s);
}
const Notes& ClipReader::notes() const {
  return impl_->notes;
}

double ClipReader::fraction_read() const {
  if (impl_->info.duration_s) {
    return std::clamp(impl_->last_stored_s / *impl_->info.duration_s, 0.0, 1.0);
  }
  return impl_->source.bytes_read();
}

}  // namespace kinetics
