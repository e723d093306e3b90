// Time of the logbook's queries and of its index, with a folder of many sessions.
//   scripts/bench logbook [--sessions N] [--runs N] [--cache FOLDER]
// The sessions are made once and kept in the cache folder: 20 s at 60 pictures a second each, drawn
// at random, which compress worse than real ones; one in twenty is a correction of another.
#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/chrono.h>
#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/logbook/check.h"
#include "libkinetics/logbook/correct.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/make_index.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/support/sample_session.h"

namespace {

using namespace kinetics;
namespace fs = std::filesystem;

struct Settings {
  std::size_t sessions = 2000;
  int runs = 15;
  std::string cache = std::string(KINETICS_BUILD_DIR) + "/bench-logbook";
};

constexpr std::array kLifters{"Odalys Brandt",
                              "Imre Castellan",
                              "Wenna Duarte",
                              "Tamsin Eklund",
                              "Bao Ferreira",
                              "Ilse Gantry",
                              "Noor Halloran",
                              "Piet Ivanek"};
constexpr std::array kLifts{"box squat", "paused bench", "deadlift", "squat", "press"};
constexpr std::size_t kFrames = 1200;
constexpr std::size_t kReps = 5;
constexpr std::size_t kSetsADay = 24;

Session made_session(std::uint32_t seed) {
  Session session = kinetics_test::lifted_session(seed);
  Session filmed = kinetics_test::random_session(seed, kFrames, kReps);
  session.disc = std::move(filmed.disc);
  session.path = std::move(filmed.path);
  session.motion = std::move(filmed.motion);
  session.options.plan->lifter = kLifters[seed % kLifters.size()];
  session.options.plan->lift = kLifts[(seed / kLifters.size()) % kLifts.size()];
  session.provenance.held_on =
      in_iso(*day_in("2030-01-07") + std::chrono::days(3 * (seed / kSetsADay)));
  session.provenance.source_name = fmt::format("set {}.mp4", seed);
  return session;
}

std::size_t count_files(const fs::path& folder) {
  if (!fs::exists(folder)) return 0;
  return static_cast<std::size_t>(
      std::count_if(fs::directory_iterator(folder), fs::directory_iterator(), [](const auto& e) {
        return e.path().extension() == ".h5";
      }));
}

std::string folder_of_sessions(const Settings& settings) {
  const fs::path folder = fs::path(settings.cache) / fmt::format("{}", settings.sessions);
  if (count_files(folder) == settings.sessions) return folder.string();
  fmt::print(stderr, "making {} sessions in {} ...\n", settings.sessions, folder.string());
  fs::remove_all(folder);
  const fs::path part = folder.string() + ".part";
  fs::remove_all(part);
  std::string last;
  for (std::size_t i = 0; i < settings.sessions; ++i) {
    if (i % 20 == 19) {
      last = store_correction(load_session(last), last, {{"load", "90 kg", "95 kg"}});
    } else {
      last = store_session(made_session(static_cast<std::uint32_t>(i)), part.string());
    }
  }
  fs::rename(part, folder);
  return folder.string();
}

double seconds_of(const std::function<void()>& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// Median, least and most of the runs, and the median of processor time, in milliseconds.
void measure(const std::string& what, int runs, const std::function<std::size_t()>& work) {
  std::vector<double> ms;
  std::vector<double> processor_ms;
  std::size_t found = 0;
  for (int i = 0; i < runs; ++i) {
    const std::clock_t begin = std::clock();
    ms.push_back(1000.0 * seconds_of([&] { found = work(); }));
    processor_ms.push_back(1000.0 * static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC);
  }
  std::sort(ms.begin(), ms.end());
  std::sort(processor_ms.begin(), processor_ms.end());
  fmt::print("{:<44} {:>9.1f} {:>9.1f} {:>9.1f} {:>9.1f}  {:>6}\n",
             what,
             ms[ms.size() / 2],
             ms.front(),
             ms.back(),
             processor_ms[processor_ms.size() / 2],
             found);
  std::fflush(stdout);
}

double load_now() {
  double load = 0.0;
  return ::getloadavg(&load, 1) == 1 ? load : 0.0;
}

}  // namespace

int main(int argc, char** argv) {
  Settings settings;
  CLI::App app("Times the logbook", "logbook");
  app.add_option("--sessions", settings.sessions)->check(CLI::Range(20, 100000));
  app.add_option("--runs", settings.runs)->check(CLI::Range(1, 1000));
  app.add_option("--cache", settings.cache);
  CLI11_PARSE(app, argc, argv);

  const std::string logbook = folder_of_sessions(settings);
  std::uintmax_t bytes = 0;
  for (const auto& entry : fs::directory_iterator(logbook)) {
    if (entry.path().extension() == ".h5") bytes += entry.file_size();
  }
  fmt::print("{:%F %H:%M} UTC, {} cores, load {:.1f}: {} session files, {} MB\n",
             fmt::gmtime(std::time(nullptr)),
             std::thread::hardware_concurrency(),
             load_now(),
             settings.sessions,
             bytes / 1000000);
  fmt::print("{:<44} {:>9} {:>9} {:>9} {:>9}  {:>6}\n",
             "ms",
             "median",
             "least",
             "most",
             "processor",
             "found");
  const int few = std::max(1, settings.runs / 5);
  measure("index made anew", few, [&] { return make_index_anew(logbook).files; });
  measure("check: every byte, and the index compared", few, [&] {
    return check_logbook(logbook).whole;
  });
  measure("opening: nobody asked for, index in step", settings.runs, [&] {
    return read_history(logbook, {.lifter = "nobody"}).sets.size();
  });
  const auto query = [&](const std::string& what, const HistoryFilter& filter) {
    measure(what, settings.runs, [&] { return read_history(logbook, filter).sets.size(); });
  };
  query("history of one lifter in one lift", {.lifter = "Odalys Brandt", .lift = "box squat"});
  query("history of one lifter", {.lifter = "Odalys Brandt"});
  query("history of one week", {.from_day = "2030-03-04", .to_day = "2030-03-10"});
  query("history of everybody", {});
  measure("list of all sessions", settings.runs, [&] {
    return list_sessions(logbook).sessions.size();
  });
  const std::string added = store_session(made_session(999999), logbook);
  measure("history of one lifter, one new session to read", 1, [&] {
    return read_history(logbook, {.lifter = "Odalys Brandt"}).sets.size();
  });
  fs::remove(added);
  (void)make_index_anew(logbook);
  return 0;
}
