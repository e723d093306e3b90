#include "tests/media/made_clip.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <sstream>
#include <stdexcept>

using namespace kinetics;

namespace kinetics_test {
namespace {

std::string output_of(const std::string& command) {
  FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("cannot run: " + command);
  std::string text;
  std::array<char, 65536> block{};
  for (std::size_t got; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
    text.append(block.data(), got);
  }
  if (::pclose(pipe) != 0) throw std::runtime_error("failed: " + command + "\n" + text);
  return text;
}

}  // namespace

Folder::Folder() {
  std::string name = (std::filesystem::temp_directory_path() / "kinetics-media-XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
  path_ = name;
}

Folder::~Folder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

void ffmpeg(const std::string& arguments) {
  output_of("ffmpeg -nostdin -v error -y " + arguments + " 2>&1");
}

bool ffmpeg_has_encoder(const std::string& name) {
  static const std::string all = output_of("ffmpeg -v error -encoders");
  return all.find(' ' + name + ' ') != std::string::npos;
}

std::vector<std::int64_t> probed_stamps(const std::string& path) {
  std::istringstream lines(
      output_of("ffprobe -v error -select_streams V:0 -show_frames "
                "-show_entries frame=best_effort_timestamp -of default=nw=1 '" +
                path + "'"));
  const std::string key = "best_effort_timestamp=";
  std::vector<std::int64_t> stamps;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind(key, 0) == 0) stamps.push_back(std::stoll(line.substr(key.size())));
  }
  return stamps;
}

std::string ffmpeg_luma(const std::string& path, const std::string& more_filters) {
  const std::string filters = "extractplanes=y" + (more_filters.empty() ? "" : ',' + more_filters);
  return output_of("ffmpeg -nostdin -v error -i '" + path + "' -map 0:V:0 -vf '" + filters +
                   "' -vsync passthrough -f rawvideo -");
}

std::vector<Frame> read_all(ClipReader& clip) {
  std::vector<Frame> frames;
  while (std::optional<Frame> frame = clip.next()) frames.push_back(std::move(*frame));
  return frames;
}

std::string bytes_of(const LumaView& luma) {
  std::string bytes;
  bytes.reserve(static_cast<std::size_t>(luma.width) * static_cast<std::size_t>(luma.height));
  for (int y = 0; y < luma.height; ++y) {
    for (int x = 0; x < luma.width; ++x) bytes.push_back(static_cast<char>(luma.at(x, y)));
  }
  return bytes;
}

bool any_note_says(const Notes& notes, const std::string& words) {
  return std::any_of(notes.begin(), notes.end(), [&](const Note& note) {
    return note.text.find(words) != std::string::npos;
  });
}

std::string slurp(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void spill(const std::string& path, const std::string& bytes) {
  std::ofstream file(path, std::ios::binary);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (!file) throw std::runtime_error("cannot write " + path);
}

}  // namespace kinetics_test
