#pragma once

#include <memory>
#include <string>

#include "libkinetics/media/clip.h"
#include "libkinetics/media/clip_reader.h"

/// Pictures of a clip in any order, for looking through it.

namespace kinetics {

/// Finds pictures by their time, jumping to the nearest key picture before and decoding from there;
/// the next pictures after one that was just given cost only their own decoding.
///
/// Time      real seconds since the first picture shown, as ClipReader gives them; the picture
/// whose
///           own time is nearest is taken.
/// Errors    as ClipReader. A file that allows no jumping is read from its beginning.
/// Memory    a few pictures.
class ClipPictures {
 public:
  /// `info` is what an earlier reading told of the clip: orientation, slow motion, pixel aspect.
  ClipPictures(const std::string& path, ClipInfo info);
  ~ClipPictures();
  ClipPictures(ClipPictures&&) noexcept;
  ClipPictures& operator=(ClipPictures&&) noexcept;
  ClipPictures(const ClipPictures&) = delete;
  ClipPictures& operator=(const ClipPictures&) = delete;

  /// The picture shown at `t_s`, in colour, its longer side at most `longest_side_px`. Throws
  /// Error{kUnreadable} when none could be decoded there.
  [[nodiscard]] ColourPicture at(double t_s, int longest_side_px);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace kinetics
