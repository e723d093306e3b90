#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "tools/workbench/folder.h"
#include "tools/workbench/reply.h"

/// Clips and logs on their way in, piece by piece, so that a phone that lost the network goes on
/// where it was.

namespace kinetics::workbench {

inline constexpr std::uintmax_t kLargestUploadBytes = std::uintmax_t{16} << 30U;
inline constexpr std::size_t kChunkBytes = std::size_t{2} << 20U;
/// Left free on the disk whatever is uploaded, so that sessions can still be stored.
inline constexpr std::uintmax_t kSpareBytes = std::uintmax_t{64} << 20U;

/// One file on its way.
struct Upload {
  std::string id;
  std::string asked;  ///< the name it came with
  std::string name;   ///< it will have; no other file has it
  std::uintmax_t bytes = 0;
  std::uintmax_t offset = 0;  ///< how much is here
  std::string file;           ///< in recordings/; empty until it is whole
};

class Uploads {
 public:
  /// Finds what was unfinished when the last server ended.
  explicit Uploads(const Folder& folder);

  /// Begins one, or finds the unfinished one of this name and size again.
  ///
  /// Errors  Refusal 400 for a name that is no clip's or log's, 413 when it is too large, 507 when
  ///         the disk has not that much room.
  [[nodiscard]] Upload begin(const std::string& name, std::uintmax_t bytes);

  /// Adds a piece. Errors: Refusal 404; 409 with the true offset beside it when `offset` is not
  /// where the last piece ended; 413 for more than was announced; 507 when the disk filled: what
  /// was there before stays.
  [[nodiscard]] Upload add(const std::string& id, std::uintmax_t offset, std::string_view piece);

  void drop(const std::string& id);
  [[nodiscard]] std::vector<Upload> unfinished() const;

 private:
  struct Entry {
    Upload upload;
    std::mutex writing;  ///< one piece at a time
    bool dropped = false;
  };
  [[nodiscard]] std::shared_ptr<Entry> find(const std::string& id) const;
  [[nodiscard]] std::string put_in_place(const Upload& upload) const;

  const Folder& folder_;
  mutable std::mutex mutex_;
  std::map<std::string, std::shared_ptr<Entry>> entries_;
};

[[nodiscard]] Json to_json(const Upload& upload);

/// "clip", "log", or nothing for what is neither, by the name's ending.
[[nodiscard]] std::string kind_of_recording(const std::string& name);

}  // namespace kinetics::workbench
