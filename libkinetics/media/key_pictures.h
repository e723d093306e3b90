#pragma once

#include <memory>
#include <optional>
#include <string>

#include "libkinetics/media/clip.h"

/// A clip's key pictures alone, which are decoded without the others: a look now and then at a
/// recording in which nothing happens.

namespace kinetics {

/// Reads the file beside a ClipReader, whose pictures have the same times.
///
/// Cost    that of decoding one picture in about thirty.
/// Errors  as ClipReader.
class KeyPictures {
 public:
  explicit KeyPictures(const ClipInfo& clip);
  ~KeyPictures();
  KeyPictures(const KeyPictures&) = delete;
  KeyPictures& operator=(const KeyPictures&) = delete;

  /// Goes to the first key picture after `t_s`. False when there are none near it.
  [[nodiscard]] bool go_after(double t_s);

  /// The next key picture, kLeastApartS or more after the last one. Nothing at the end of the
  /// clip, and where they stand more than kMostApartS apart or the clip's clock is not to be
  /// trusted: then at_end() is false and only reading all pictures will do.
  [[nodiscard]] std::optional<Frame> next();
  [[nodiscard]] bool at_end() const;

  static constexpr double kLeastApartS = 0.4;
  static constexpr double kMostApartS = 2.1;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace kinetics
