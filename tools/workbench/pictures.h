#pragma once

#include <cstddef>
#include <cstdint>
#include <list>
#include <memory>
#include <mutex>
#include <string>

#include "libkinetics/media/clip_pictures.h"
#include "libkinetics/session/session.h"

/// Pictures of uploaded clips for scrubbing: clips stay open and pictures are kept for a while.

namespace kinetics::workbench {

class Pictures {
 public:
  /// The picture with this index in the session's disc track, as JPEG, at most `longest_px` on its
  /// longer side.
  ///
  /// Errors  Refusal 404 for an index the session has not; as ClipPictures.
  [[nodiscard]] std::shared_ptr<const std::string> jpeg(const Session& session,
                                                        const std::string& clip_path,
                                                        std::int64_t index,
                                                        int longest_px);

 private:
  struct OpenClip {
    std::string path;
    std::mutex decoding;
    std::unique_ptr<ClipPictures> pictures;
  };
  struct KeptPicture {
    std::string key;
    std::shared_ptr<const std::string> bytes;
  };

  [[nodiscard]] std::shared_ptr<OpenClip> open(const std::string& path);
  [[nodiscard]] std::shared_ptr<const std::string> find(const std::string& key);
  void keep(const std::string& key, const std::shared_ptr<const std::string>& bytes);

  std::mutex mutex_;
  std::list<std::shared_ptr<OpenClip>> clips_;  ///< most recently used first
  std::list<KeptPicture> kept_;
  std::size_t kept_bytes_ = 0;
};

}  // namespace kinetics::workbench
