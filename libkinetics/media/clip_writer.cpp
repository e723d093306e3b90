#include "libkinetics/media/clip_writer.h"

#include <cerrno>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <map>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

extern "C" {
#include <libavutil/opt.h>
}

#include "libkinetics/core/error.h"
#include "libkinetics/media/libav.h"

namespace kinetics {
namespace {

// Ticks in which 24, 25, 30, 60, 120, 240 Hz and their NTSC kin (to 1/3 tick) are whole numbers.
constexpr int kTicksPerSecond = 90000;

[[noreturn]] void fail_path(const std::string& path, const std::string& why) {
  throw Error(ErrorCode::kUsage,
              path,
              fmt::format("the clip cannot be written there ({})", why),
              "Choose another name or folder");
}

[[noreturn]] void fail_writing(const std::string& path, int error) {
  throw Error(ErrorCode::kInternal,
              path,
              fmt::format("writing the clip failed ({})", libav::in_words(error)),
              "Free some space on the disk and try again");
}

void flush_to_disk(const std::string& path) {
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return;
  ::fsync(file);
  ::close(file);
}

struct CloseOutput {
  void operator()(AVFormatContext* context) const {
    if (context->pb) avio_closep(&context->pb);
    avformat_free_context(context);
  }
};

}  // namespace

struct ClipWriter::Impl {
  Impl(const std::string& final_path, int picture_width, int picture_height);
  ~Impl();
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;

  void open_encoder();
  void open_file();
  void add(const ColourPicture& picture, double t_s);
  void send_pending(std::int64_t duration_ticks);
  void send(const AVFrame* picture);
  void finish();

  std::string path;
  std::string temporary;  // empty once nothing is left to clear away
  int width_px;
  int height_px;
  std::unique_ptr<AVFormatContext, CloseOutput> output;
  AVStream* stream = nullptr;
  libav::Codec encoder;
  libav::Scaler scaler;
  libav::Packet packet = libav::make_packet();
  // The latest picture waits for its successor, which tells how long it is shown.
  libav::Picture pending;
  std::int64_t last_duration = kTicksPerSecond / 30;
  std::map<std::int64_t, std::int64_t> duration_of_stamp;  // of pictures inside the encoder
};

ClipWriter::Impl::Impl(const std::string& final_path, int picture_width, int picture_height)
    : path(final_path), width_px(picture_width), height_px(picture_height) {
  libav::hush();
  KINETICS_ASSERT(width_px >= 2 && height_px >= 2);
  std::error_code error;
  if (path.empty()) fail_path("(no name)", "no name given");
  if (std::filesystem::is_directory(path, error)) fail_path(path, "it is a folder");

  AVFormatContext* context = nullptr;
  avformat_alloc_output_context2(&context, nullptr, "mp4", nullptr);
  output.reset(context);
  if (!output) fail_writing(path, AVERROR(ENOMEM));
  open_encoder();
  open_file();
}

// Cleans up whatever happened: an abandoned or failed clip leaves nothing behind.
ClipWriter::Impl::~Impl() {
  output.reset();
  if (!temporary.empty()) {
    std::error_code ignored;
    std::filesystem::remove(temporary, ignored);
  }
}

void ClipWriter::Impl::open_encoder() {
  const AVCodec* codec = avcodec_find_encoder_by_name("libx264");
  if (codec == nullptr) {
    throw Error(ErrorCode::kInternal,
                path,
                "this system's FFmpeg has no H.264 encoder",
                "Install an FFmpeg with libx264");
  }
  encoder.reset(avcodec_alloc_context3(codec));
  if (!encoder) fail_writing(path, AVERROR(ENOMEM));
  encoder->width = width_px & ~1;
  encoder->height = height_px & ~1;
  encoder->pix_fmt = AV_PIX_FMT_YUV420P;
  encoder->time_base = {1, kTicksPerSecond};
  encoder->sample_aspect_ratio = {1, 1};
  encoder->colorspace = AVCOL_SPC_BT709;
  encoder->color_primaries = AVCOL_PRI_BT709;
  encoder->color_trc = AVCOL_TRC_BT709;
  encoder->color_range = AVCOL_RANGE_MPEG;
  encoder->thread_count = 0;
  if (output->oformat->flags & AVFMT_GLOBALHEADER) encoder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  av_opt_set(encoder->priv_data, "preset", "veryfast", 0);
  av_opt_set(encoder->priv_data, "crf", "21", 0);
  const int opened = avcodec_open2(encoder.get(), codec, nullptr);
  if (opened < 0) fail_writing(path, opened);

  scaler.reset(sws_getContext(encoder->width,
                              encoder->height,
                              AV_PIX_FMT_BGR24,
                              encoder->width,
                              encoder->height,
                              AV_PIX_FMT_YUV420P,
                              SWS_BILINEAR,
                              nullptr,
                              nullptr,
                              nullptr));
  if (!scaler) fail_writing(path, AVERROR(EINVAL));
  constexpr int kUnity = 1 << 16;
  sws_setColorspaceDetails(scaler.get(),
                           sws_getCoefficients(SWS_CS_DEFAULT),
                           1,
                           sws_getCoefficients(SWS_CS_ITU709),
                           0,
                           0,
                           kUnity,
                           kUnity);
}

void ClipWriter::Impl::open_file() {
  stream = avformat_new_stream(output.get(), nullptr);
  if (stream == nullptr) fail_writing(path, AVERROR(ENOMEM));
  avcodec_parameters_from_context(stream->codecpar, encoder.get());
  stream->time_base = encoder->time_base;

  const std::string name = fmt::format("{}.unfinished-{}", path, ::getpid());
  // The index is moved to the front at the end, for which the muxer opens the file again by this.
  output->url = av_strdup(("file:" + name).c_str());
  const int opened = avio_open(&output->pb, output->url, AVIO_FLAG_WRITE);
  if (opened < 0) fail_path(path, libav::in_words(opened));
  temporary = name;

  AVDictionary* options = nullptr;
  av_dict_set(&options, "movflags", "+faststart", 0);
  av_dict_set_int(&options, "video_track_timescale", kTicksPerSecond, 0);
  const int started = avformat_write_header(output.get(), &options);
  av_dict_free(&options);
  if (started < 0) fail_writing(path, started);
}

void ClipWriter::Impl::add(const ColourPicture& picture, double t_s) {
  KINETICS_ASSERT(output != nullptr);
  KINETICS_ASSERT(picture.width_px == width_px && picture.height_px == height_px);
  KINETICS_ASSERT(std::isfinite(t_s));
  const std::int64_t ticks = std::llround(t_s * kTicksPerSecond);
  KINETICS_ASSERT(!pending || ticks > pending->pts);
  if (pending) send_pending(ticks - pending->pts);

  libav::Picture frame = libav::make_picture();
  frame->format = encoder->pix_fmt;
  frame->width = encoder->width;
  frame->height = encoder->height;
  frame->pts = ticks;
  const int allocated = av_frame_get_buffer(frame.get(), 0);
  if (allocated < 0) fail_writing(path, allocated);
  const std::uint8_t* rows = picture.bgr.data();
  const int stride = 3 * picture.width_px;
  sws_scale(scaler.get(), &rows, &stride, 0, encoder->height, frame->data, frame->linesize);
  pending = std::move(frame);
}

void ClipWriter::Impl::send_pending(std::int64_t duration_ticks) {
  last_duration = duration_ticks;
  duration_of_stamp[pending->pts] = duration_ticks;
  send(pending.get());
  pending.reset();
}

void ClipWriter::Impl::send(const AVFrame* picture) {
  const int sent = avcodec_send_frame(encoder.get(), picture);
  if (sent < 0) fail_writing(path, sent);
  for (;;) {
    const int received = avcodec_receive_packet(encoder.get(), packet.get());
    if (received == AVERROR(EAGAIN) || received == AVERROR_EOF) return;
    if (received < 0) fail_writing(path, received);
    // The encoder forgets durations. Without them the muxer's edit list ends one picture early.
    const auto known = duration_of_stamp.extract(packet->pts);
    packet->duration = known ? known.mapped() : last_duration;
    av_packet_rescale_ts(packet.get(), encoder->time_base, stream->time_base);
    packet->stream_index = stream->index;
    const int written = av_interleaved_write_frame(output.get(), packet.get());
    if (written < 0) fail_writing(path, written);
  }
}

void ClipWriter::Impl::finish() {
  KINETICS_ASSERT(output != nullptr);
  if (pending) send_pending(last_duration);
  send(nullptr);
  const int ended = av_write_trailer(output.get());
  if (ended < 0) fail_writing(path, ended);
  const int broken = output->pb->error;
  const int closed = avio_closep(&output->pb);
  if (broken < 0 || closed < 0) fail_writing(path, broken < 0 ? broken : closed);
  output.reset();
  flush_to_disk(temporary);
  std::error_code error;
  std::filesystem::rename(temporary, path, error);
  if (error) fail_path(path, error.message());
  temporary.clear();
}

ClipWriter::ClipWriter(const std::string& path, int width_px, int height_px)
    : impl_(std::make_unique<Impl>(path, width_px, height_px)) {}
ClipWriter::~ClipWriter() = default;
ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;

void ClipWriter::add(const ColourPicture& picture, double t_s) {
  impl_->add(picture, t_s);
}
void ClipWriter::finish() {
  impl_->finish();
}

}  // namespace kinetics
