#pragma once

#include <cstddef>
#include <memory>
#include <optional>

#include "libkinetics/media/clip_reader.h"

/// Decodes a few pictures ahead on a thread of its own, so that looking at one picture and decoding
/// the next go on together.

namespace kinetics {

/// How many pictures of a clip to hold: what about 80 MB take, so that a tracker that takes its
/// time at the beginning of a clip does not keep the decoder waiting.
[[nodiscard]] std::size_t pictures_ahead(const ClipInfo& clip);

/// Takes over a reader until it is destroyed; do not use the reader meanwhile.
///
/// Cost    holds at most `pictures` decoded pictures.
/// Errors  what the reader throws comes out of next(), after the pictures before it.
class ReadAhead {
 public:
  explicit ReadAhead(ClipReader& reader, std::size_t pictures = 6);
  ~ReadAhead();
  ReadAhead(const ReadAhead&) = delete;
  ReadAhead& operator=(const ReadAhead&) = delete;

  /// As ClipReader::next().
  [[nodiscard]] std::optional<Frame> next();
  /// As ClipReader::fraction_read(), for the last picture handed out.
  [[nodiscard]] double fraction_read() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace kinetics
