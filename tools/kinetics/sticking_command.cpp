#include "tools/kinetics/sticking_command.h"

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/sticking_sets.h"
#include "libkinetics/report/sticking_table.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "tools/kinetics/output_file.h"

namespace kinetics::cli {
namespace {

struct StickingArguments {
  std::vector<std::string> sessions;
  std::optional<std::string> output;
};

/// A stored session, without its frames: many are read and few fit into memory at once.
struct Stored {
  std::string file;
  std::string source_sha256;
  std::string analysed_at;
  std::vector<std::string> corrects;  ///< names of the files in place of which it counts
  double first_s = 0.0;               ///< start of its first rep in the recording
  double last_s = 0.0;
  MappedSet set;
};

/// Counted twice, a set's reps would look surer than they are.
void refuse_doubles(const std::vector<std::string>& files) {
  std::error_code no_such_file;
  for (std::size_t i = 0; i < files.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (!std::filesystem::equivalent(files[i], files[k], no_such_file)) continue;
      throw Error(ErrorCode::kUsage,
                  files[i],
                  files[i] == files[k] ? "this session is given twice"
                                       : fmt::format("this is the same session as {}", files[k]),
                  "Give each session once");
    }
  }
}

std::optional<OutputFile> output_of(const StickingArguments& arguments) {
  if (!arguments.output) return std::nullopt;
  OutputFile file("--output", *arguments.output);
  std::error_code no_such_file;
  for (const std::string& input : arguments.sessions) {
    if (file.is_standard_output()) break;
    if (!std::filesystem::equivalent(file.target(), input, no_such_file)) continue;
    throw Error(ErrorCode::kUsage,
                fmt::format("--output {}", *arguments.output),
                "this is the input, which is never written to",
                "Choose another name");
  }
  return file;
}

Stored read(const std::string& file) {
  const Session session = load_session(file);
  Stored out{.file = file,
             .source_sha256 = session.provenance.source_sha256,
             .analysed_at = session.provenance.analysed_at,
             .corrects = {},
             .set = mapped_set(session, file)};
  for (const CorrectionMade& made : session.corrections) out.corrects.push_back(made.of_file);
  if (!session.reps.empty()) {
    out.first_s = session.reps.front().start_s;
    out.last_s = session.reps.back().end_s;
  }
  return out;
}

std::string left_out(const Stored& stored, const std::string& why) {
  return wrapped(printable(fmt::format("Note: {} is left out: {}.", stored.file, why)),
                 kTableColumns,
                 "",
                 "  ");
}

/// A session that the coach corrected counts as the correction has it.
std::string keep_corrected(std::vector<Stored>& all) {
  std::string notes;
  std::vector<Stored> kept;
  for (Stored& old : all) {
    const std::string name = std::filesystem::path(old.file).filename().string();
    const auto newer = std::find_if(all.begin(), all.end(), [&](const Stored& other) {
      return std::find(other.corrects.begin(), other.corrects.end(), name) != other.corrects.end();
    });
    if (newer == all.end()) {
      kept.push_back(old);
    } else {
      notes += left_out(old, fmt::format("{} corrects it", newer->file));
    }
  }
  all = std::move(kept);
  return notes;
}

/// A clip that was analysed more than once lies in the logbook more than once; the last analysis
/// of the same stretch of it counts. Returns a note for each that is left out.
std::string keep_newest(std::vector<Stored>& all) {
  std::string notes;
  std::vector<Stored> kept;
  for (Stored& next : all) {
    const auto same = std::find_if(kept.begin(), kept.end(), [&](const Stored& other) {
      return !next.source_sha256.empty() && next.source_sha256 == other.source_sha256 &&
             next.first_s < other.last_s && other.first_s < next.last_s;
    });
    if (same == kept.end()) {
      kept.push_back(std::move(next));
      continue;
    }
    if (next.analysed_at >= same->analysed_at) std::swap(next, *same);
    notes +=
        left_out(next, fmt::format("{} is a later analysis of the same recording", same->file));
  }
  all = std::move(kept);
  return notes;
}

std::string counted(std::size_t n, const std::string& what) {
  return fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
}

void need_sticking(const std::vector<MappedSet>& sets) {
  std::size_t rises = 0;
  std::size_t unsure = 0;
  for (const MappedSet& set : sets) {
    rises += set.rises.size();
    for (const MapRise& rise : set.rises) {
      if (rise.sticking) return;
      unsure += rise.within_noise ? 1 : 0;
    }
  }
  std::string what = fmt::format("no sticking region in any of {}", counted(rises, "full rep"));
  if (unsure > 0) what += fmt::format(" ({} with a dip that may be noise)", unsure);
  throw Error(ErrorCode::kUnreadable,
              counted(sets.size(), "session"),
              what,
              "A bar that never slows on its way up has no such place; give heavier sets");
}

void run(const StickingArguments& arguments) {
  refuse_doubles(arguments.sessions);
  const std::optional<OutputFile> output = output_of(arguments);
  std::vector<Stored> stored;
  for (const std::string& file : arguments.sessions) stored.push_back(read(file));
  const std::string notes = keep_corrected(stored) + keep_newest(stored);
  std::vector<MappedSet> sets;
  for (Stored& s : stored) sets.push_back(std::move(s.set));
  need_sticking(sets);
  const std::vector<StickingMap> maps = sticking_maps(sets);
  if (output) output->write(to_svg(maps));
  if (output && output->is_standard_output()) return;
  std::string text = sticking_table(maps);
  if (!notes.empty()) text += "\n" + notes;
  if (output) text += fmt::format("\nWritten: {}\n", printable(output->name()));
  print(text);
}

}  // namespace

std::function<void()> add_sticking_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand(
      "sticking", "Map where the bar slows over stored sessions, by lifter, lift, bar and box");
  auto arguments = std::make_shared<StickingArguments>();
  command
      ->add_option("sessions",
                   arguments->sessions,
                   "Session files of a logbook, analysed with --sheet; the first one's bar and box "
                   "are what others are compared with")
      ->required();
  command->add_option("-o,--output", arguments->output, "Draw the map as this SVG");
  return [command, arguments] {
    if (command->parsed()) run(*arguments);
  };
}

}  // namespace kinetics::cli
