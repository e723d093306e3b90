#include "libkinetics/media/clip_source.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <thread>
#include <utility>

#include <fmt/format.h>

extern "C" {
#include <libavutil/pixdesc.h>
}

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

// Containers that hold pictures themselves. Playlists and scripts, which make a reader open other
// files, are not among them.
constexpr const char* kContainers =
    "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg,mpegvideo,h264,hevc,m4v,mjpeg,obu,av1,"
    "ivf,flv,live_flv,asf,ogg,mxf,dv,gif,apng,nut,yuv4mpegpipe,h263,image2,jpeg_pipe,png_pipe,"
    "wav,mp3,aac,flac,w64,aiff,au";

constexpr const char* kReexport = "Re-export the clip as H.264 in an MP4 file";

// As many as libavcodec takes of itself at most.
constexpr int kMostThreads = 16;

[[noreturn]] void fail(const std::string& path, std::string what, std::string mend) {
  throw Error(ErrorCode::kUnreadable, path, std::move(what), std::move(mend));
}

void check_file(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (path.empty() || !fs::exists(status)) {
    fail(path.empty() ? "(no name)" : path, "there is no such file", "Check its name and folder");
  }
  if (fs::is_directory(status)) fail(path, "this is a folder, not a clip", "Name one clip in it");
  if (!fs::is_regular_file(status)) {
    fail(path, "this is not an ordinary file", "Save the clip to a file first");
  }
  if (fs::file_size(path, error) == 0) {
    fail(path, "the file is empty", "Copy it again from the phone or camera");
  }
  if (!std::ifstream(path, std::ios::binary)) {
    fail(path, "it may not be read by this user", "Change the file's permissions");
  }
}

// An MP4 starts with a box whose type is one of these; a text file named .mp4 does not.
bool starts_like_mp4(const std::string& path) {
  std::array<char, 8> head{};
  std::ifstream(path, std::ios::binary).read(head.data(), head.size());
  constexpr std::array<const char*, 7> kFirstBoxes{
      "ftyp", "moov", "mdat", "free", "skip", "wide", "pnot"};
  return std::any_of(kFirstBoxes.begin(), kFirstBoxes.end(), [&](const char* type) {
    return std::memcmp(head.data() + 4, type, 4) == 0;
  });
}

[[noreturn]] void fail_open(const std::string& path, int error) {
  const std::string said = libav::last_message();
  if (said.find("moov atom not found") != std::string::npos && starts_like_mp4(path)) {
    fail(path,
         "the recording was cut off before it was finished, so its index is missing",
         "Re-export it from the phone or camera, or record again");
  }
  if (said.find("whitelist") != std::string::npos) {
    fail(path, "this kind of file holds no clip of its own", kReexport);
  }
  const std::string detail = said.empty() ? libav::in_words(error) : said;
  fail(path,
       fmt::format("this is not a video that can be read ({})", detail),
       "Check that it plays, or copy it again from the phone or camera");
}

}  // namespace

ClipSource::ClipSource(const std::string& path, int threads) : packet_(libav::make_packet()) {
  libav::hush();
  check_file(path);
  open_container(path);
  choose_stream(path);
  open_decoder(path, threads);
}

void ClipSource::open_container(const std::string& path) {
  AVFormatContext* context = avformat_alloc_context();
  if (context == nullptr) {
    throw Error(ErrorCode::kInternal, path, "memory ran out", "Close other programs");
  }
  context->format_whitelist = av_strdup(kContainers);
  context->protocol_whitelist = av_strdup("file");
  // "file:" keeps a colon in a file's name from being taken for a protocol.
  const int opened = avformat_open_input(&context, ("file:" + path).c_str(), nullptr, nullptr);
  if (opened < 0) fail_open(path, opened);  // the context is freed by then
  input_.reset(context);
  const int known = avformat_find_stream_info(input_.get(), nullptr);
  if (known < 0) fail_open(path, known);
}

void ClipSource::choose_stream(const std::string& path) {
  long best_area = -1;
  bool has_sound = false;
  for (unsigned i = 0; i < input_->nb_streams; ++i) {
    AVStream* stream = input_->streams[i];
    stream->discard = AVDISCARD_ALL;
    has_sound |= stream->codecpar->codec_type == AVMEDIA_TYPE_AUDIO;
    const bool is_cover = (stream->disposition & AV_DISPOSITION_ATTACHED_PIC) != 0;
    if (stream->codecpar->codec_type != AVMEDIA_TYPE_VIDEO || is_cover) continue;
    ++picture_tracks_;
    const long area = static_cast<long>(stream->codecpar->width) * stream->codecpar->height;
    if (area <= best_area) continue;
    best_area = area;
    stream_ = stream;
  }
  if (stream_ == nullptr) {
    fail(path,
         has_sound ? "it holds sound but no picture track" : "it holds no picture track",
         "Choose the clip itself, filmed from the side");
  }
  stream_->discard = AVDISCARD_DEFAULT;
}

void ClipSource::open_decoder(const std::string& path, int threads) {
  const AVCodecParameters& coded = *stream_->codecpar;
  const AVCodec* decoder = avcodec_find_decoder(coded.codec_id);
  if (decoder == nullptr) {
    fail(path,
         fmt::format("its pictures are coded as {}, for which there is no decoder here",
                     avcodec_get_name(coded.codec_id)),
         kReexport);
  }
  if (coded.width <= 0 || coded.height <= 0) {
    fail(path,
         fmt::format("its picture track states a size of {} x {}", coded.width, coded.height),
         "The file is damaged: copy it again from the phone or camera");
  }
  codec_.reset(avcodec_alloc_context3(decoder));
  int error = codec_ ? avcodec_parameters_to_context(codec_.get(), &coded) : AVERROR(ENOMEM);
  if (error >= 0) {
    codec_->pkt_timebase = stream_->time_base;
    // Left to itself the decoder takes one more than there are cores, and the tracker needs one
    // too.
    const auto cores = static_cast<int>(std::thread::hardware_concurrency());
    codec_->thread_count = threads > 0 ? threads : std::clamp(cores, 1, kMostThreads);
    codec_->thread_type = FF_THREAD_FRAME | FF_THREAD_SLICE;
    error = avcodec_open2(codec_.get(), decoder, nullptr);
  }
  if (error < 0) {
    fail(path,
         fmt::format(
             "the {} decoder does not accept it ({})", decoder->name, libav::in_words(error)),
         kReexport);
  }
}

libav::Picture ClipSource::next() {
  libav::Picture picture = libav::make_picture();
  // A decoder that only fails must not hold us for ever on a damaged file.
  constexpr int kMostFailuresInARow = 10000;
  for (int failures = 0; failures < kMostFailuresInARow;) {
    const int result = avcodec_receive_frame(codec_.get(), picture.get());
    if (result == 0) {
      if (usable(*picture)) return picture;
      av_frame_unref(picture.get());
    } else if (result == AVERROR(EAGAIN) && !drained_) {
      feed();
    } else if (result == AVERROR_EOF || result == AVERROR(EAGAIN)) {
      return nullptr;
    } else {
      ++counts_.undecodable;
      ++failures;
    }
  }
  stopped_by_ = "the decoder gave up";
  return nullptr;
}

bool ClipSource::jump_before(std::int64_t stamp) {
  if (av_seek_frame(input_.get(), stream_->index, stamp, AVSEEK_FLAG_BACKWARD) < 0) return false;
  avcodec_flush_buffers(codec_.get());
  drained_ = false;
  jumped_ = true;
  good_from_.reset();
  return true;
}

const AVPacket* ClipSource::next_packet() {
  for (;;) {
    av_packet_unref(packet_.get());
    const int result = av_read_frame(input_.get(), packet_.get());
    if (result == AVERROR(EAGAIN)) continue;
    if (result < 0) {
      if (result != AVERROR_EOF) stopped_by_ = libav::in_words(result);
      drained_ = true;
      return nullptr;
    }
    if (packet_->stream_index != stream_->index) continue;
    if (packet_->pts != AV_NOPTS_VALUE && packet_->pts < INT64_MAX - packet_->duration) {
      const std::int64_t end = packet_->pts + packet_->duration;
      last_packet_end_ = std::max(last_packet_end_.value_or(end), end);
    }
    if (jumped_ && !is_key(*packet_)) continue;
    if (std::exchange(jumped_, false)) good_from_ = packet_->pts;
    return packet_.get();
  }
}

libav::Picture ClipSource::decode_alone(const AVPacket& key) {
  libav::Picture picture = libav::make_picture();
  avcodec_send_packet(codec_.get(), &key);
  avcodec_send_packet(codec_.get(), nullptr);
  const bool decoded = avcodec_receive_frame(codec_.get(), picture.get()) == 0;
  avcodec_flush_buffers(codec_.get());
  return decoded && usable(*picture) ? std::move(picture) : nullptr;
}

void ClipSource::feed() {
  const int sent = avcodec_send_packet(codec_.get(), next_packet());
  if (sent < 0 && sent != AVERROR(EAGAIN) && !drained_) ++counts_.undecodable;
}

bool ClipSource::usable(const AVFrame& picture) {
  constexpr int kPicturesBroken = FF_DECODE_ERROR_INVALID_BITSTREAM |
                                  FF_DECODE_ERROR_CONCEALMENT_ACTIVE |
                                  FF_DECODE_ERROR_DECODE_SLICES;
  const std::int64_t stamp = picture.best_effort_timestamp;
  if (good_from_ && stamp != AV_NOPTS_VALUE && stamp < *good_from_) return false;
  if (picture.width <= 0 || picture.height <= 0 || picture.data[0] == nullptr ||
      (picture.flags & AV_FRAME_FLAG_CORRUPT) || (picture.decode_error_flags & kPicturesBroken)) {
    ++counts_.damaged;
    return false;
  }
  if (width_ == 0) {
    width_ = picture.width;
    height_ = picture.height;
  }
  if (picture.width != width_ || picture.height != height_) {
    ++counts_.other_size;
    return false;
  }
  if (picture.interlaced_frame) ++counts_.interlaced;
  ++counts_.delivered;
  return true;
}

std::optional<double> ClipSource::stored_rate_hz() const {
  for (const AVRational rate :
       {stream_->avg_frame_rate, av_guess_frame_rate(input_.get(), stream_, nullptr)}) {
    if (rate.num > 0 && rate.den > 0) return av_q2d(rate);
  }
  return std::nullopt;
}

std::optional<double> ClipSource::duration_s() const {
  if (stream_->duration != AV_NOPTS_VALUE && stream_->duration > 0) {
    return static_cast<double>(stream_->duration) * av_q2d(stream_->time_base);
  }
  if (input_->duration == AV_NOPTS_VALUE || input_->duration <= 0) return std::nullopt;
  double length_s = static_cast<double>(input_->duration) / AV_TIME_BASE;
  // Matroska states where the clip ends on its clock, not how long it is.
  const bool is_matroska = std::strncmp(input_->iformat->name, "matroska", 8) == 0;
  if (is_matroska && stream_->start_time != AV_NOPTS_VALUE) {
    length_s -= static_cast<double>(stream_->start_time) * av_q2d(stream_->time_base);
  }
  return length_s > 0.0 ? std::optional(length_s) : std::nullopt;
}

std::optional<double> ClipSource::missing_s() const {
  const std::optional<double> duration = duration_s();
  if (!drained_ || !duration || !last_packet_end_) return std::nullopt;
  const bool own_duration = stream_->duration != AV_NOPTS_VALUE && stream_->duration > 0;
  const std::int64_t start = stream_->start_time == AV_NOPTS_VALUE ? 0 : stream_->start_time;
  const double end = (static_cast<double>(*last_packet_end_) - static_cast<double>(start)) *
                     av_q2d(stream_->time_base);
  // Sound often runs a little longer than the pictures, so a length of the whole file is a looser
  // guide than the picture track's own.
  const double slack = (own_duration ? 0.1 : 0.5) + 3.0 / stored_rate_hz().value_or(25.0);
  const double missing = *duration - end;
  return missing > slack ? std::optional(missing) : std::nullopt;
}

std::string ClipSource::tag(std::initializer_list<const char*> names) const {
  for (const char* name : names) {
    for (const AVDictionary* tags : {input_->metadata, stream_->metadata}) {
      const AVDictionaryEntry* entry = av_dict_get(tags, name, nullptr, 0);
      if (entry != nullptr && entry->value[0] != '\0') return entry->value;
    }
  }
  return {};
}

std::string ClipSource::recorded_at() const {
  // A clock that was never set says 1904 or 1970.
  constexpr std::int64_t kPhonesFilmS = 946684800;  // 2000-01-01
  // Phones write the time in UTC, some beside it with the zone it was taken in, which tells the day
  // without guessing.
  for (const char* const name : {"com.apple.quicktime.creationdate", "creation_time"}) {
    std::string text = tag({name});
    if (unix_seconds_in(text).value_or(0) >= kPhonesFilmS) return text;
  }
  return {};
}

double ClipSource::bytes_read() const {
  const std::int64_t size = input_->pb ? avio_size(input_->pb) : -1;
  if (size <= 0) return -1.0;
  return std::clamp(
      static_cast<double>(avio_tell(input_->pb)) / static_cast<double>(size), 0.0, 1.0);
}

}  // namespace kinetics
