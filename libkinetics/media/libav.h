#pragma once

#include <memory>
#include <string>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswscale/swscale.h>
}

/// Private to this room: owners for libav's objects, and its log kept off the terminal.

namespace kinetics::libav {

struct CloseInput {
  void operator()(AVFormatContext* context) const { avformat_close_input(&context); }
};
struct FreeCodec {
  void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
};
struct FreeFrame {
  void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct FreePacket {
  void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct FreeScaler {
  void operator()(SwsContext* context) const { sws_freeContext(context); }
};
struct FreeBuffer {
  void operator()(AVBufferRef* buffer) const { av_buffer_unref(&buffer); }
};
struct FreePool {
  void operator()(AVBufferPool* pool) const { av_buffer_pool_uninit(&pool); }
};

using Input = std::unique_ptr<AVFormatContext, CloseInput>;
using Codec = std::unique_ptr<AVCodecContext, FreeCodec>;
using Picture = std::unique_ptr<AVFrame, FreeFrame>;
using Packet = std::unique_ptr<AVPacket, FreePacket>;
using Scaler = std::unique_ptr<SwsContext, FreeScaler>;
using Buffer = std::unique_ptr<AVBufferRef, FreeBuffer>;
using Pool = std::unique_ptr<AVBufferPool, FreePool>;

/// Throws Error{kInternal} when libav could not allocate.
Picture make_picture();
Packet make_packet();

/// Keeps libav from writing on the terminal, for the whole process, and forgets what it last said
/// on this thread.
void hush();

/// The last error libav logged on this thread since hush(); empty when there was none.
[[nodiscard]] std::string last_message();

/// libav's words for one of its error numbers.
[[nodiscard]] std::string in_words(int error);

}  // namespace kinetics::libav
