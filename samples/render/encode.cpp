#include "samples/render/encode.h"

#include <cmath>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <stdexcept>
#include <thread>
#include <vector>

#include <opencv2/core.hpp>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/opt.h>
}

namespace render {
namespace {

constexpr std::size_t kQueue = 4;

void must(int code, const std::string& what) {
  if (code >= 0) return;
  char text[AV_ERROR_MAX_STRING_SIZE] = {};
  av_strerror(code, text, sizeof text);
  throw std::runtime_error(what + ": " + text);
}

const char* encoder_name(const std::string& codec) {
  if (codec == "h264") return "libx264";
  if (codec == "hevc") return "libx265";
  if (codec == "vp9") return "libvpx-vp9";
  if (codec == "mpeg4") return "mpeg4";
  if (codec == "mjpeg") return "mjpeg";
  throw std::runtime_error("codec \"" + codec + "\": use h264, hevc, vp9, mpeg4 or mjpeg");
}

}  // namespace

struct Encoder::Impl {
  std::string path;
  EncodeSpec spec;
  AVFormatContext* format = nullptr;
  AVCodecContext* codec = nullptr;
  AVStream* stream = nullptr;
  AVFrame* frame = nullptr;
  AVPacket* packet = nullptr;

  struct Job {
    Canvas picture;
    std::int64_t ticks;
  };
  std::mutex mutex;
  std::condition_variable changed;
  std::deque<Job> jobs;
  std::vector<Canvas> spare;
  bool closing = false;
  std::string trouble;
  std::thread worker;

  ~Impl() {
    stop();
    av_packet_free(&packet);
    av_frame_free(&frame);
    avcodec_free_context(&codec);
    if (format != nullptr) {
      if (format->pb != nullptr) avio_closep(&format->pb);
      avformat_free_context(format);
    }
  }

  void stop() {
    {
      const std::lock_guard lock(mutex);
      closing = true;
    }
    changed.notify_all();
    if (worker.joinable()) worker.join();
  }

  void open() {
    must(avformat_alloc_output_context2(&format, nullptr, nullptr, path.c_str()), path);
    format->flags |= AVFMT_FLAG_BITEXACT;  // no random numbers in the container
    const AVCodec* found = avcodec_find_encoder_by_name(encoder_name(spec.codec));
    if (found == nullptr) throw std::runtime_error(spec.codec + ": this FFmpeg cannot encode it");
    stream = avformat_new_stream(format, nullptr);
    codec = avcodec_alloc_context3(found);
    const bool turned = spec.rotation_deg % 180 != 0;
    codec->width = turned ? spec.height_px : spec.width_px;
    codec->height = turned ? spec.width_px : spec.height_px;
    codec->pix_fmt = AV_PIX_FMT_YUV420P;
    if (spec.codec == "mjpeg") codec->strict_std_compliance = FF_COMPLIANCE_UNOFFICIAL;
    codec->time_base = {spec.tick_num, spec.tick_den};
    codec->framerate = av_d2q(spec.frame_rate_hz, 1001000);
    codec->color_range = AVCOL_RANGE_MPEG;
    codec->colorspace = AVCOL_SPC_BT709;
    codec->color_primaries = AVCOL_PRI_BT709;
    codec->color_trc = AVCOL_TRC_BT709;
    // Several threads that keep to a bit rate code the same pictures differently each time.
    codec->thread_count = spec.bit_rate_bps > 0.0 ? 1 : 2;
    if (spec.key_every_s > 0.0)
      codec->gop_size = static_cast<int>(std::lround(spec.key_every_s * spec.frame_rate_hz));
    if ((format->oformat->flags & AVFMT_GLOBALHEADER) != 0)
      codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    choose_quality();
    must(avcodec_open2(codec, found, nullptr), path);
    must(avcodec_parameters_from_context(stream->codecpar, codec), path);
    stream->time_base = codec->time_base;
    stream->avg_frame_rate = codec->framerate;
    if (spec.rotation_deg != 0) tag_rotation();
    if (spec.capture_rate_hz > 0.0)
      av_dict_set(&format->metadata,
                  "com.android.capture.fps",
                  std::to_string(spec.capture_rate_hz).c_str(),
                  0);
    must(avio_open(&format->pb, path.c_str(), AVIO_FLAG_WRITE), path);
    AVDictionary* muxing = nullptr;
    if (spec.capture_rate_hz > 0.0) av_dict_set(&muxing, "movflags", "use_metadata_tags", 0);
    const int started = avformat_write_header(format, &muxing);
    av_dict_free(&muxing);
    must(started, path);
    frame = av_frame_alloc();
    packet = av_packet_alloc();
    worker = std::thread([this] { work(); });
  }

  void tag_rotation() {
    if (const std::string name = format->oformat->name; name == "matroska" || name == "webm")
      throw std::runtime_error(path + ": this kind of file keeps no rotation; use .mp4 or .mov");
    // The matrix holds the turn a player has to make; the function's angle is clockwise.
    auto* matrix = reinterpret_cast<std::int32_t*>(
        av_stream_new_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, 9 * sizeof(std::int32_t)));
    if (matrix == nullptr) throw std::runtime_error(path + ": out of memory");
    av_display_rotation_set(matrix, spec.rotation_deg);
  }

  void choose_quality() {
    const std::string crf = std::to_string(spec.crf);
    if (spec.bit_rate_bps > 0.0) {
      // No picture waits for a later one: the chips in phones code them as they come.
      codec->bit_rate = static_cast<std::int64_t>(spec.bit_rate_bps);
      codec->rc_max_rate = codec->bit_rate;
      codec->rc_buffer_size = static_cast<int>(spec.bit_rate_bps);
      codec->max_b_frames = 0;
      av_opt_set(codec->priv_data, "preset", spec.preset.c_str(), 0);
    } else if (spec.codec == "h264" || spec.codec == "hevc") {
      av_opt_set(codec->priv_data, "preset", spec.preset.c_str(), 0);
      av_opt_set(codec->priv_data, "crf", crf.c_str(), 0);
      if (spec.codec == "hevc") av_opt_set(codec->priv_data, "x265-params", "log-level=error", 0);
    } else if (spec.codec == "vp9") {
      codec->bit_rate = 0;
      av_opt_set(codec->priv_data, "crf", crf.c_str(), 0);
      av_opt_set(codec->priv_data, "deadline", "realtime", 0);
      av_opt_set_int(codec->priv_data, "cpu-used", 8, 0);
    } else {
      // The older codecs know a quantiser, 2 (best) to 31; crf 20 is about 4.
      codec->flags |= AV_CODEC_FLAG_QSCALE;
      codec->global_quality = FF_QP2LAMBDA * std::max(2, spec.crf / 5);
    }
  }

  void work() {
    try {
      while (true) {
        std::unique_lock lock(mutex);
        changed.wait(lock, [this] { return closing || !jobs.empty(); });
        if (jobs.empty()) break;
        Job job = std::move(jobs.front());
        jobs.pop_front();
        lock.unlock();
        changed.notify_all();
        encode(job);
        lock.lock();
        spare.push_back(std::move(job.picture));
      }
    } catch (const std::exception& e) {
      const std::lock_guard lock(mutex);
      trouble = e.what();
      changed.notify_all();
    }
  }

  void encode(const Job& job) {
    av_frame_unref(frame);
    frame->format = codec->pix_fmt;
    frame->width = codec->width;
    frame->height = codec->height;
    must(av_frame_get_buffer(frame, 0), path);
    const cv::Mat1b* planes[] = {&job.picture.y, &job.picture.u, &job.picture.v};
    for (int p = 0; p < 3; ++p) {
      const bool chroma = p > 0;
      cv::Mat1b to((chroma ? codec->height / 2 : codec->height),
                   (chroma ? codec->width / 2 : codec->width),
                   frame->data[p],
                   static_cast<std::size_t>(frame->linesize[p]));
      // Stored is displayed, turned back.
      switch (spec.rotation_deg) {
        case 90:
          cv::rotate(*planes[p], to, cv::ROTATE_90_COUNTERCLOCKWISE);
          break;
        case 180:
          cv::rotate(*planes[p], to, cv::ROTATE_180);
          break;
        case 270:
          cv::rotate(*planes[p], to, cv::ROTATE_90_CLOCKWISE);
          break;
        default:
          planes[p]->copyTo(to);
      }
    }
    frame->pts = job.ticks;
    if ((codec->flags & AV_CODEC_FLAG_QSCALE) != 0) frame->quality = codec->global_quality;
    send(frame);
  }

  void send(const AVFrame* picture) {
    must(avcodec_send_frame(codec, picture), path);
    while (true) {
      const int got = avcodec_receive_packet(codec, packet);
      if (got == AVERROR(EAGAIN) || got == AVERROR_EOF) return;
      must(got, path);
      av_packet_rescale_ts(packet, codec->time_base, stream->time_base);
      packet->stream_index = stream->index;
      must(av_interleaved_write_frame(format, packet), path);
    }
  }
};

Encoder::Encoder(const std::string& path, const EncodeSpec& spec) : impl_(new Impl) {
  av_log_set_level(AV_LOG_ERROR);
  impl_->path = path;
  impl_->spec = spec;
  impl_->open();
}

Encoder::~Encoder() = default;

Canvas Encoder::blank() {
  const std::lock_guard lock(impl_->mutex);
  if (impl_->spare.empty()) return {impl_->spec.width_px, impl_->spec.height_px};
  Canvas out = std::move(impl_->spare.back());
  impl_->spare.pop_back();
  return out;
}

void Encoder::add(Canvas picture, std::int64_t ticks) {
  std::unique_lock lock(impl_->mutex);
  impl_->changed.wait(lock,
                      [this] { return impl_->jobs.size() < kQueue || !impl_->trouble.empty(); });
  if (!impl_->trouble.empty()) throw std::runtime_error(impl_->trouble);
  impl_->jobs.push_back({std::move(picture), ticks});
  lock.unlock();
  impl_->changed.notify_all();
}

void Encoder::finish() {
  impl_->stop();
  if (!impl_->trouble.empty()) throw std::runtime_error(impl_->trouble);
  impl_->send(nullptr);
  must(av_write_trailer(impl_->format), impl_->path);
  must(avio_closep(&impl_->format->pb), impl_->path);
}

}  // namespace render
