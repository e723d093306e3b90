#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/media/clip.h"

/// Decodes a clip picture by picture, with each picture's own presentation time.

namespace kinetics {

struct ClipOptions {
  /// Rate at which the camera really took pictures, Hz, for slow motion stored slowed. Left empty,
  /// the container's own tag is used when it has one; otherwise stored time is real time.
  std::optional<double> capture_rate_hz = std::nullopt;
  /// Decoder threads; 0 lets the decoder choose one per core.
  int threads = 0;
};

/// A colour picture for drawing on, upright, with square rows: 3 bytes a pixel, blue green red.
struct ColourPicture {
  int width_px = 0;
  int height_px = 0;
  std::vector<std::uint8_t> bgr;
};

/// Streams a clip. Memory does not grow with its length.
///
/// Time      each picture's presentation stamp, never its number over a rate. Missing stamps are
///           interpolated and duplicate or backward ones nudged; notes() tells how many.
/// Rotation  the display matrix is applied here and nowhere else (multiples of 90° and mirroring).
/// Damage    pictures the decoder flags as damaged are left out: a longer step between two good
///           ones is honest, half a picture filled in from another time is not. A file that ends
///           early gives the pictures it has. Both are told in notes().
/// Errors    the constructor throws Error{kUnreadable} that says what is wrong: no such file, a
///           folder, empty file, not a media file, cut off before its index was written, no
///           picture track, no decoder, picture size of zero, not one picture decodable. Throws
///           Error{kUsage} for a capture rate below the stored one.
/// Cost      that of decoding. A few pictures (StampMender's look-ahead) are held back.
///
/// libav's own log is kept off the terminal from the first reader on, for the whole process.
class ClipReader {
 public:
  explicit ClipReader(const std::string& path, const ClipOptions& options = {});
  ~ClipReader();
  ClipReader(ClipReader&&) noexcept;
  ClipReader& operator=(ClipReader&&) noexcept;
  ClipReader(const ClipReader&) = delete;
  ClipReader& operator=(const ClipReader&) = delete;

  [[nodiscard]] const ClipInfo& info() const;

  /// The next picture in display order, or nothing at the end. t_s strictly increases.
  [[nodiscard]] std::optional<Frame> next();

  /// Goes on at some picture up to `t_s`, without decoding those in between where the file allows
  /// it; those up to `t_s` that still come can be passed over by their times, which are what they
  /// would have been. Only right where no stamp before was repaired. Frame::index counts on from
  /// there.
  void hurry_to(double t_s);

  /// How much of the clip has been read, 0 to 1; negative when its length is unknown.
  [[nodiscard]] double fraction_read() const;

  /// What was decided, and what was repaired; whole once next() has returned nothing.
  [[nodiscard]] const Notes& notes() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// Converts a picture that came from a ClipReader to upright colour with square pixels, for drawing
/// on it. Slow beside decoding: not for analysis. A picture whose longer side exceeds
/// `longest_side_px` is scaled down to it; the default keeps every size.
[[nodiscard]] ColourPicture to_colour(const Frame& frame,
                                      const ClipInfo& info,
                                      int longest_side_px = 1 << 16);

}  // namespace kinetics
