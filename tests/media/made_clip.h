#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/media/clip_reader.h"

/// Small clips made on the spot by the ffmpeg program, and what it and ffprobe say about them.

namespace kinetics_test {

/// A folder of this test's own, removed with all it holds.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string operator/(const std::string& name) const {
    return (path_ / name).string();
  }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// Runs `ffmpeg ARGUMENTS`; throws std::runtime_error with what it said when it fails.
void ffmpeg(const std::string& arguments);
[[nodiscard]] bool ffmpeg_has_encoder(const std::string& name);

/// Presentation stamps of the pictures, in the track's own ticks, as ffprobe decodes them.
[[nodiscard]] std::vector<std::int64_t> probed_stamps(const std::string& path);

/// Luma of all pictures as the ffmpeg program shows them (turned for display), row after row,
/// one byte a sample or two (little end first) for deep clips.
[[nodiscard]] std::string ffmpeg_luma(const std::string& path,
                                      const std::string& more_filters = "");

[[nodiscard]] std::vector<kinetics::Frame> read_all(kinetics::ClipReader& clip);
[[nodiscard]] std::string bytes_of(const kinetics::LumaView& luma);
[[nodiscard]] bool any_note_says(const kinetics::Notes& notes, const std::string& words);

[[nodiscard]] std::string slurp(const std::string& path);
void spill(const std::string& path, const std::string& bytes);

}  // namespace kinetics_test
