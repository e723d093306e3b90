#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

/// The logbook's folder as the workbench sees it, and the only way from a name in a request to a
/// file.
///
///   *.h5              sessions
///   recordings/       clips and logs as they were uploaded
///   sheets/           session sheets (CSV)
///   roster.toml       the club
///   plan.toml         its training plan
///   kept/             earlier texts of sheets, roster and plan
///   days/             whole days, see days.h; beside it what the library leaves of them
///   .workbench/       jobs and unfinished uploads; may be deleted while no server runs

namespace kinetics::workbench {

class Folder {
 public:
  /// Makes the folders that are missing. Throws kinetics::Error{kUsage} when it cannot.
  explicit Folder(std::filesystem::path root);

  [[nodiscard]] const std::filesystem::path& root() const { return root_; }
  [[nodiscard]] std::filesystem::path recordings() const { return root_ / "recordings"; }
  [[nodiscard]] std::filesystem::path sheets() const { return root_ / "sheets"; }
  [[nodiscard]] std::filesystem::path roster() const { return root_ / "roster.toml"; }
  [[nodiscard]] std::filesystem::path plan() const { return root_ / "plan.toml"; }
  [[nodiscard]] std::filesystem::path days() const { return root_ / "days"; }
  [[nodiscard]] std::filesystem::path jobs() const { return root_ / ".workbench" / "jobs"; }
  [[nodiscard]] std::filesystem::path uploads() const { return root_ / ".workbench" / "uploads"; }

  /// A file by the name a request gave. The name must be plain and the file an ordinary one, not a
  /// link: else Refusal 400 or 404.
  [[nodiscard]] std::filesystem::path session(const std::string& id) const;
  [[nodiscard]] std::filesystem::path recording(const std::string& name) const;
  [[nodiscard]] std::filesystem::path sheet(const std::string& name) const;
  /// A file of days/: "monday.mp4" and ".json".
  [[nodiscard]] std::filesystem::path day(const std::string& name, const std::string& ending) const;

  /// Where a sheet of this name is or would be.
  [[nodiscard]] std::filesystem::path sheet_to_write(const std::string& name) const;

  /// A name that nothing in recordings/ bears yet: "set (2).mp4".
  [[nodiscard]] std::string free_recording_name(const std::string& name) const;

  /// Replaces a text of the coach and keeps the one before under kept/.
  void replace_text(const std::filesystem::path& path, std::string_view text) const;

  [[nodiscard]] std::uintmax_t free_bytes() const;

 private:
  std::filesystem::path root_;
};

/// Whether a name may be used as a file's: no folder in it, not hidden, no control characters,
/// UTF-8, and not too long for a file system.
[[nodiscard]] bool is_plain_name(std::string_view name);

/// Throws Refusal 400 unless is_plain_name(name).
void check_name(const std::string& name);

/// The whole file. Throws kinetics::Error{kUnreadable}.
[[nodiscard]] std::string text_in(const std::filesystem::path& path);

}  // namespace kinetics::workbench
