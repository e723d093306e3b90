#pragma once

#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>

#include "libkinetics/media/libav.h"

/// Private to this room: opens a recording and hands out its decoded pictures.

namespace kinetics {

/// What went wrong on the way, told once the recording has ended.
struct SourceCounts {
  std::size_t delivered = 0;
  std::size_t damaged = 0;      ///< decoded with errors, left out
  std::size_t undecodable = 0;  ///< packets the decoder refused
  std::size_t other_size = 0;   ///< pictures of another size than the first, left out
  std::size_t interlaced = 0;
};

/// Whether the packet's picture can be decoded alone and has a time.
[[nodiscard]] inline bool is_key(const AVPacket& packet) {
  return (packet.flags & AV_PKT_FLAG_KEY) != 0 && packet.pts != AV_NOPTS_VALUE;
}

/// Demuxer and decoder of the one picture track that matters.
///
/// A picture the decoder flags as damaged is left out: half a picture filled in from another time
/// would draw the rim away, while a missing one is only a longer step for the tracker.
class ClipSource {
 public:
  /// Throws Error{kUnreadable}, with a sentence for each kind of trouble.
  ClipSource(const std::string& path, int threads);

  /// The next picture in display order; null at the end.
  [[nodiscard]] libav::Picture next();

  /// The next packet of the picture track as it is stored, instead of next(); null at the end. It
  /// lives until the next call.
  [[nodiscard]] const AVPacket* next_packet();
  /// The picture of one key packet, which needs no other; null when it is damaged.
  [[nodiscard]] libav::Picture decode_alone(const AVPacket& key);

  /// Goes back or on to the last key picture at or before a stamp of the picture track: next() then
  /// gives it. False when the file does not allow it; then it must be opened again.
  [[nodiscard]] bool jump_before(std::int64_t stamp);

  [[nodiscard]] const AVFormatContext& container() const { return *input_; }
  [[nodiscard]] const AVStream& stream() const { return *stream_; }
  [[nodiscard]] const AVCodecContext& codec() const { return *codec_; }
  [[nodiscard]] const SourceCounts& counts() const { return counts_; }
  [[nodiscard]] int picture_tracks() const { return picture_tracks_; }

  /// Mean rate the container states, Hz; nothing when it states none.
  [[nodiscard]] std::optional<double> stored_rate_hz() const;
  /// Length of the picture track as stored, s.
  [[nodiscard]] std::optional<double> duration_s() const;
  /// How much of that length is missing at the end, s; at the end of the recording only.
  [[nodiscard]] std::optional<double> missing_s() const;
  /// The first of these tags that the container or the picture track has, empty values apart.
  [[nodiscard]] std::string tag(std::initializer_list<const char*> names) const;
  /// When it was recorded, in the container's own words: ISO 8601 with "Z" or the zone's offset.
  /// Empty when it does not say, or tells of a clock that was never set.
  [[nodiscard]] std::string recorded_at() const;
  /// Share of the file's bytes read so far; negative when its size is unknown.
  [[nodiscard]] double bytes_read() const;
  /// What stopped the reading before the end; empty when nothing did.
  [[nodiscard]] const std::string& stopped_by() const { return stopped_by_; }

 private:
  void open_container(const std::string& path);
  void choose_stream(const std::string& path);
  void open_decoder(const std::string& path, int threads);
  void feed();
  [[nodiscard]] bool usable(const AVFrame& picture);

  libav::Input input_;
  AVStream* stream_ = nullptr;
  libav::Codec codec_;
  libav::Packet packet_;
  /// After a jump, pictures up to the first key picture lean on some that were not decoded.
  std::optional<std::int64_t> good_from_;
  bool jumped_ = false;
  int picture_tracks_ = 0;
  int width_ = 0;
  int height_ = 0;
  bool drained_ = false;
  std::optional<std::int64_t> last_packet_end_;
  std::string stopped_by_;
  SourceCounts counts_;
};

}  // namespace kinetics
