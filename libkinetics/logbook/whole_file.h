#pragma once

#include <filesystem>
#include <string_view>

/// Files that appear whole or not at all, whatever happens to the process, the disk or the power.

namespace kinetics {

enum class IfPresent {
  kReplace,  ///< the old file stays until the new one is whole and flushed
  kKeep,     ///< the old file stays, whoever made it and when
};

/// Writes `bytes` under a temporary name in the same folder, flushes them to the disk, renames, and
/// flushes the folder. A killed process leaves at most a hidden file ending in ".part".
///
/// Returns  false when `path` was there already and is kept; nothing is left behind then.
/// Errors   throws Error{kInternal} naming the file when the disk fills or the folder went away.
[[nodiscard]] bool write_whole_file(const std::filesystem::path& path,
                                    std::string_view bytes,
                                    IfPresent if_present);

/// Throws Error{kUsage} unless files can be made in the folder. Leaves nothing behind.
void check_folder_writable(const std::filesystem::path& folder);

}  // namespace kinetics
