#include "libkinetics/speed_day/recordings.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdint>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <system_error>
#include <utility>

#include <fmt/chrono.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/media/recording_facts.h"
#include "libkinetics/session/analyse.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

/// A split file goes on within so many seconds; a clock in whole seconds is off by one at most.
constexpr double kGoesOnS = 3.0;
/// Taken for the length of a clip that does not tell its own, s.
constexpr double kUsualLengthS = 60.0;
/// Clips whose clock tells nothing are put so far apart, s: longer than any rest within a set.
constexpr double kApartS = 120.0;
/// Farther from the middle one a clock is not of this day, s.
constexpr double kSameDayS = 18.0 * 3600.0;

bool names_a_clip(const fs::path& path) {
  std::string ending = path.extension().string();
  for (char& c : ending) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  constexpr std::array kEndings{
      ".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".3gp", ".mts", ".m2ts", ".ts", ".mpg"};
  return std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

/// Local time of a moment, as seconds since 1970 that need no zone.
double local_from_unix_s(std::int64_t unix_s) {
  const auto instant = static_cast<std::time_t>(unix_s);
  std::tm local{};
  localtime_r(&instant, &local);
  return static_cast<double>(timegm(&local));
}

/// "VID_20310307_170500.mp4" tells when it was begun, by the phone's own clock.
std::optional<double> local_from_name(const std::string& name) {
  static const std::regex kStamp(
      R"((20\d\d)-?([01]\d)-?([0-3]\d)[-_ T]([0-2]\d)[-:.]?([0-5]\d)[-:.]?([0-5]\d))");
  std::smatch m;
  if (!std::regex_search(name, m, kStamp)) return std::nullopt;
  std::tm t{};
  t.tm_year = std::stoi(m[1]) - 1900;
  t.tm_mon = std::stoi(m[2]) - 1;
  t.tm_mday = std::stoi(m[3]);
  t.tm_hour = std::stoi(m[4]);
  t.tm_min = std::stoi(m[5]);
  t.tm_sec = std::stoi(m[6]);
  if (t.tm_mon > 11 || t.tm_mday < 1 || t.tm_mday > 31 || t.tm_hour > 23) return std::nullopt;
  return static_cast<double>(timegm(&t));
}

std::string day_of(double local_s) {
  return fmt::format("{:%Y-%m-%d}", fmt::gmtime(static_cast<std::time_t>(local_s)));
}

/// A file with what its clock says, while the day is put in order.
struct Dated {
  Recording recording;
  std::string camera;
  std::string recorded_at;        ///< as the container says
  std::optional<double> local_s;  ///< begun, seconds since 1970 by local time
  bool by_name = false;           ///< the clock is that of the name, which is the beginning
  [[nodiscard]] double lasts_s() const { return recording.lasts_s.value_or(kUsualLengthS); }
};

Dated dated(const fs::path& file, const fs::path& root, Notes& notes) {
  Dated out;
  out.recording.path = file.string();
  out.recording.name =
      fs::is_directory(root) ? file.lexically_relative(root).string() : file.filename().string();
  out.recording.is_log = names_a_log(file.string());
  const std::string folder = fs::path(out.recording.name).parent_path().string();
  out.local_s = local_from_name(file.filename().string());
  out.by_name = out.local_s.has_value();
  out.camera = folder + "|log";
  if (out.recording.is_log) return out;
  try {
    const RecordingFacts facts = recording_facts(file.string());
    out.recording.lasts_s = facts.duration_s;
    out.camera = fmt::format("{}|{}|{}x{}", folder, facts.camera, facts.width_px, facts.height_px);
    if (!out.local_s) out.recorded_at = facts.recorded_at;
  } catch (const Error& error) {
    notes.push_back({NoteKind::kCaution, fmt::format("Left out: {}", error.what())});
    out.recording.path.clear();
  }
  return out;
}

/// Turns instants into local times: by the zone that one of the files tells, else by this
/// computer's.
void localise(std::vector<Dated>& files) {
  std::optional<std::int64_t> zone_s;
  for (const Dated& d : files) {
    if (!zone_s) zone_s = zone_told_in(d.recorded_at);
  }
  for (Dated& d : files) {
    const auto unix_s = unix_seconds_in(d.recorded_at);
    if (!unix_s) continue;
    d.local_s = zone_s ? static_cast<double>(*unix_s + *zone_s) : local_from_unix_s(*unix_s);
  }
}

/// Some cameras write when a file was ended. Files that follow each other show it: then the steps
/// between their clocks are the lengths of the later ones.
void from_ends_to_beginnings(std::vector<Dated*>& of_camera) {
  int ends = 0;
  int beginnings = 0;
  for (std::size_t k = 1; k < of_camera.size(); ++k) {
    const Dated& a = *of_camera[k - 1];
    const Dated& b = *of_camera[k];
    if (!a.local_s || !b.local_s || a.by_name || b.by_name) continue;
    const double step_s = *b.local_s - *a.local_s;
    const bool like_a = std::abs(step_s - a.lasts_s()) < kGoesOnS;
    const bool like_b = std::abs(step_s - b.lasts_s()) < kGoesOnS;
    if (like_a != like_b) (like_a ? beginnings : ends) += 1;
  }
  if (ends <= beginnings) return;
  for (Dated* d : of_camera) {
    if (d->local_s && !d->by_name) *d->local_s -= d->lasts_s();
  }
}

/// Clocks of another day than most tell nothing.
void drop_odd_clocks(std::vector<Dated>& files, Notes& notes) {
  std::vector<double> known;
  for (const Dated& d : files) {
    if (d.local_s) known.push_back(*d.local_s);
  }
  if (known.size() < 3) return;
  const double middle = median_of(std::move(known));
  for (Dated& d : files) {
    if (!d.local_s || std::abs(*d.local_s - middle) < kSameDayS) continue;
    notes.push_back({NoteKind::kDecision,
                     fmt::format("The clock of {} says {}, unlike most files here; its place was "
                                 "taken from its name.",
                                 d.recording.name,
                                 day_of(*d.local_s))});
    d.local_s.reset();
  }
}

/// Without a clock a file comes after the one before it by name, or before the one after it.
void fill_by_name(std::vector<Dated*>& of_camera) {
  for (std::size_t k = 1; k < of_camera.size(); ++k) {
    const Dated& before = *of_camera[k - 1];
    if (of_camera[k]->local_s || !before.local_s) continue;
    of_camera[k]->local_s = *before.local_s + before.lasts_s() + kApartS;
  }
  for (std::size_t k = of_camera.size(); k-- > 1;) {
    Dated& d = *of_camera[k - 1];
    if (!d.local_s && of_camera[k]->local_s) {
      d.local_s = *of_camera[k]->local_s - kApartS - d.lasts_s();
    }
  }
}

std::vector<fs::path> files_of(const fs::path& root, const std::vector<std::string>& not_these) {
  std::vector<fs::path> out;
  if (!fs::is_directory(root)) return {root};
  for (auto it = fs::recursive_directory_iterator(root); it != fs::recursive_directory_iterator();
       ++it) {
    const fs::path& path = it->path();
    if (path.filename().string().starts_with(".")) {
      if (it->is_directory()) it.disable_recursion_pending();
      continue;
    }
    const bool excluded =
        std::any_of(not_these.begin(), not_these.end(), [&](const std::string& other) {
          std::error_code failed;
          return fs::equivalent(path, other, failed);
        });
    if (excluded && it->is_directory()) it.disable_recursion_pending();
    if (excluded || !it->is_regular_file()) continue;
    if (names_a_clip(path) || names_a_log(path.string())) out.push_back(path);
  }
  std::sort(out.begin(), out.end(), [](const fs::path& a, const fs::path& b) {
    return name_before(a.string(), b.string());
  });
  return out;
}

bool same_bytes(const fs::path& a, const fs::path& b) {
  std::ifstream first(a, std::ios::binary);
  std::ifstream second(b, std::ios::binary);
  std::vector<char> of_first(std::size_t{1} << 16U);
  std::vector<char> of_second(of_first.size());
  while (first && second) {
    first.read(of_first.data(), static_cast<std::streamsize>(of_first.size()));
    second.read(of_second.data(), static_cast<std::streamsize>(of_second.size()));
    if (first.gcount() != second.gcount()) return false;
    const auto end = of_first.begin() + first.gcount();
    if (!std::equal(of_first.begin(), end, of_second.begin())) return false;
  }
  return first.eof() && second.eof();
}

/// A copy of another file would be counted as sets lifted twice.
void leave_out_copies(std::vector<fs::path>& files, Notes& notes) {
  std::map<std::uintmax_t, std::vector<fs::path>> by_size;
  const auto is_copy = [&](const fs::path& file) {
    std::error_code failed;
    const std::uintmax_t size = fs::file_size(file, failed);
    if (failed || size == 0) return false;
    std::vector<fs::path>& alike = by_size[size];
    const auto same = std::find_if(
        alike.begin(), alike.end(), [&](const fs::path& other) { return same_bytes(other, file); });
    if (same == alike.end()) {
      alike.push_back(file);
      return false;
    }
    notes.push_back({NoteKind::kDecision,
                     fmt::format("{} holds the same as {}, byte for byte, and was left out.",
                                 file.filename().string(),
                                 same->filename().string())});
    return true;
  };
  files.erase(std::remove_if(files.begin(), files.end(), is_copy), files.end());
}

}  // namespace

bool name_before(const std::string& a, const std::string& b) {
  std::size_t i = 0;
  std::size_t j = 0;
  const auto digit = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; };
  while (i < a.size() && j < b.size()) {
    if (digit(a[i]) && digit(b[j])) {
      std::size_t ai = i;
      std::size_t bj = j;
      while (ai < a.size() && digit(a[ai])) ++ai;
      while (bj < b.size() && digit(b[bj])) ++bj;
      std::string x = a.substr(i, ai - i);
      std::string y = b.substr(j, bj - j);
      x.erase(0, std::min(x.find_first_not_of('0'), x.size()));
      y.erase(0, std::min(y.find_first_not_of('0'), y.size()));
      if (x.size() != y.size()) return x.size() < y.size();
      if (x != y) return x < y;
      i = ai;
      j = bj;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i;
      ++j;
    }
  }
  if ((i < a.size()) != (j < b.size())) return i >= a.size();
  return a < b;
}

Recordings find_recordings(const std::string& path, const std::vector<std::string>& not_these) {
  Recordings out;
  const fs::path root(path);
  std::vector<Dated> files;
  std::vector<fs::path> found = files_of(root, not_these);
  leave_out_copies(found, out.notes);
  for (const fs::path& file : found) {
    Dated d = dated(file, root, out.notes);
    if (!d.recording.path.empty()) files.push_back(std::move(d));
  }
  if (files.empty()) {
    throw Error(ErrorCode::kUnreadable,
                path,
                fs::is_directory(root) ? "there is no clip or log in this folder that can be read"
                                       : "this recording cannot be read",
                "Give the folder or the recording of the day");
  }
  localise(files);
  drop_odd_clocks(files, out.notes);
  std::map<std::string, std::vector<Dated*>> cameras;
  for (Dated& d : files) cameras[d.camera].push_back(&d);
  int number = 0;
  for (auto& [name, of_camera] : cameras) {
    from_ends_to_beginnings(of_camera);
    fill_by_name(of_camera);
    for (Dated* d : of_camera) d->recording.camera = number;
    ++number;
  }
  out.clock_known =
      std::any_of(files.begin(), files.end(), [](const Dated& d) { return d.local_s.has_value(); });
  if (!out.clock_known) {
    double free_s = 0.0;
    for (Dated& d : files) {
      d.local_s = free_s;
      free_s += d.lasts_s() + kApartS;
    }
  }
  for (Dated& d : files) {
    // A camera none of whose clocks told anything begins with the others.
    if (!d.local_s) {
      double first_s = INFINITY;
      for (const Dated& other : files) first_s = std::min(first_s, other.local_s.value_or(first_s));
      d.local_s = first_s;
      fill_by_name(cameras[d.camera]);
    }
  }
  std::stable_sort(files.begin(), files.end(), [](const Dated& a, const Dated& b) {
    return *a.local_s < *b.local_s;
  });
  const double first_s = *files.front().local_s;
  std::map<int, double> camera_ends;
  for (Dated& d : files) {
    Recording& r = d.recording;
    r.begins_s = *d.local_s - first_s;
    if (out.clock_known) r.held_on = day_of(*d.local_s);
    const auto before = camera_ends.find(r.camera);
    if (before != camera_ends.end()) {
      // Clocks of whole seconds make a file that goes on seem to overlap the one before.
      r.goes_on = out.clock_known && std::abs(r.begins_s - before->second) < kGoesOnS;
      if (r.goes_on || r.begins_s < before->second) r.begins_s = before->second;
    }
    camera_ends[r.camera] = r.begins_s + d.lasts_s();
    out.files.push_back(std::move(r));
  }
  if (out.clock_known) out.start_s = std::fmod(first_s, 86400.0);
  return out;
}

}  // namespace kinetics
