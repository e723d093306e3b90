// A whole rendered speed day against what is true of it: every set found, none invented, each given
// to the right lifter, none wrong and certain. Truth comes from samples/day/make_day.py and the
// renderer, which share no code with the library.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "libkinetics/roster/roster.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "samples/render/film.h"

namespace {

namespace fs = std::filesystem;
using kinetics::DaySession;
using kinetics::DaySet;
using kinetics::MatchCertainty;

/// One turn, as it was rendered.
struct TrueSet {
  int row = 0;
  std::string lifter;
  std::vector<render::RepTruth> reps;
};

struct Truth {
  std::vector<TrueSet> sets;
  std::vector<int> missed_rows;
};

std::string text_of(const fs::path& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error(path.string() + ": cannot be opened");
  return {std::istreambuf_iterator<char>(file), {}};
}

/// Renders the day once; again when its scene or the renderer has changed.
void render_day(const fs::path& folder) {
  const std::string stamp =
      fmt::format("{}\n{}", render::kRendererVersion, text_of(folder / "scene.json"));
  const fs::path made_of = folder / "rendered_of.json";
  if (fs::exists(folder / "day.mp4") && fs::exists(made_of) && text_of(made_of) == stamp) return;
  std::cerr << "rendering " << (folder / "day.mp4").string() << " ...\n";
  const render::Scene scene = render::read_scene((folder / "scene.json").string());
  const fs::path part = folder / "day.part.mp4";
  const render::ClipTruth truth = render::render_scene(scene, part.string());
  constexpr std::size_t kFewFrames = 100000;
  render::write_truth(truth, (folder / "clip_truth.json").string(), kFewFrames);
  fs::rename(part, folder / "day.mp4");
  std::ofstream(made_of) << stamp;
}

Truth truth_of(const fs::path& folder) {
  Truth out;
  const auto told = nlohmann::json::parse(text_of(folder / "truth.json"));
  for (const auto& set : told.at("sets")) {
    out.sets.push_back({.row = set.at("row"), .lifter = set.at("lifter"), .reps = {}});
  }
  out.missed_rows = told.at("missed_rows").get<std::vector<int>>();
  for (const render::RepTruth& rep :
       render::read_truth((folder / "clip_truth.json").string()).reps) {
    out.sets.at(static_cast<std::size_t>(rep.set - 1)).reps.push_back(rep);
  }
  return out;
}

struct Score {
  int sets = 0;
  int found = 0;
  int invented = 0;
  int reps = 0;
  int reps_found = 0;
  int reps_invented = 0;
  int right_lifter = 0;
  int right_row = 0;
  int certain = 0;
  int doubtful = 0;
  int wrong_certain = 0;
  bool missed_rows_told = true;
  std::vector<double> velocity_errors_mps;
};

bool overlap(const render::RepTruth& truth, const kinetics::Rep& rep) {
  return rep.start_s < truth.end_s && rep.end_s > truth.start_s;
}

/// The set of the truth that a found one shares most reps with.
std::optional<std::size_t> true_set_of(const DaySet& set, const Truth& truth) {
  std::optional<std::size_t> best;
  int most = 0;
  for (std::size_t k = 0; k < truth.sets.size(); ++k) {
    int shared = 0;
    for (const auto& t : truth.sets[k].reps) {
      for (const auto& rep : set.session.reps) shared += overlap(t, rep) ? 1 : 0;
    }
    if (shared > most) {
      most = shared;
      best = k;
    }
  }
  return best;
}

void score_reps(const DaySet& set, const TrueSet& truth, Score& score) {
  for (const auto& t : truth.reps) {
    const auto rep = std::find_if(set.session.reps.begin(),
                                  set.session.reps.end(),
                                  [&](const auto& r) { return overlap(t, r); });
    if (rep == set.session.reps.end()) continue;
    ++score.reps_found;
    if (rep->mean_velocity_mps.ok()) {
      score.velocity_errors_mps.push_back(rep->mean_velocity_mps.value() - t.mean_velocity_mps);
    }
  }
  for (const auto& rep : set.session.reps) {
    const bool real = std::any_of(
        truth.reps.begin(), truth.reps.end(), [&](const auto& t) { return overlap(t, rep); });
    score.reps_invented += real ? 0 : 1;
  }
}

Score score_of(const DaySession& day, const Truth& truth) {
  Score score;
  score.sets = static_cast<int>(truth.sets.size());
  for (const TrueSet& set : truth.sets) score.reps += static_cast<int>(set.reps.size());
  std::vector<bool> taken(truth.sets.size());
  for (const DaySet& set : day.sets) {
    const auto which = true_set_of(set, truth);
    if (!which || taken[*which]) {
      fmt::print("set {} at {:.1f} s is none\n", set.number, set.recording_s);
      ++score.invented;
      continue;
    }
    taken[*which] = true;
    ++score.found;
    const TrueSet& t = truth.sets[*which];
    score_reps(set, t, score);
    const auto* row = set.match.row ? &day.rows[*set.match.row] : nullptr;
    const bool right = row != nullptr && row->lifter == t.lifter;
    score.right_lifter += right ? 1 : 0;
    score.right_row += row != nullptr && row->row == t.row ? 1 : 0;
    const bool certain = set.match.lifter_certainty == MatchCertainty::kCertain;
    score.certain += certain ? 1 : 0;
    score.doubtful += set.match.lifter_certainty == MatchCertainty::kDoubtful ? 1 : 0;
    score.wrong_certain += certain && !right ? 1 : 0;
    if (!right) {
      fmt::print("set {} at {:.1f} s: {} for {}\n",
                 set.number,
                 set.recording_s,
                 row ? row->lifter : "nobody",
                 t.lifter);
    }
  }
  for (std::size_t k = 0; k < taken.size(); ++k) {
    if (taken[k]) continue;
    fmt::print("not found: row {}, from {:.1f} s\n",
               truth.sets[k].row,
               truth.sets[k].reps.empty() ? 0.0 : truth.sets[k].reps.front().start_s);
  }
  std::vector<int> missed;
  for (const std::size_t k : day.missed) missed.push_back(day.rows[k].row);
  std::sort(missed.begin(), missed.end());
  score.missed_rows_told = missed == truth.missed_rows;
  return score;
}

void print(const Score& s) {
  double sum = 0.0;
  double squares = 0.0;
  for (const double e : s.velocity_errors_mps) sum += e;
  const auto n = static_cast<double>(std::max<std::size_t>(1, s.velocity_errors_mps.size()));
  for (const double e : s.velocity_errors_mps) squares += std::pow(e - sum / n, 2);
  fmt::print("sets: {} of {} found, {} invented\n", s.found, s.sets, s.invented);
  fmt::print("reps: {} of {} found, {} invented\n", s.reps_found, s.reps, s.reps_invented);
  fmt::print(
      "lifter: {} of {} right ({} certain, {} doubtful), {} wrong and certain; row: {} right\n",
      s.right_lifter,
      s.found,
      s.certain,
      s.doubtful,
      s.wrong_certain,
      s.right_row);
  fmt::print("skipped turns told: {}\n", s.missed_rows_told ? "yes" : "no");
  fmt::print("mean velocity: {:+.1f} ± {:.1f} mm/s (bias ± 95 % limits)\n",
             1000.0 * sum / n,
             1000.0 * 1.96 * std::sqrt(squares / n));
}

bool good(const Score& s) {
  constexpr double kRightShare = 0.98;
  return s.found == s.sets && s.invented == 0 && s.reps_found == s.reps && s.reps_invented == 0 &&
         s.right_lifter >= kRightShare * s.sets && s.wrong_certain == 0;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{
      "Analyses a rendered speed day and holds it against the truth.\n"
      "FOLDER is what samples/day/make_day.py made; the recording is rendered into it."};
  std::string folder;
  std::string logbook;
  bool check = false;
  bool only_render = false;
  app.add_option("FOLDER", folder)->required();
  app.add_option("--logbook", logbook, "Where results go; default: FOLDER/logbook, made anew");
  app.add_flag("--check", check, "Fail unless every target is met");
  app.add_flag("--render", only_render, "Only render the recording");
  CLI11_PARSE(app, argc, argv);
  try {
    render_day(folder);
    if (only_render) return 0;
    if (logbook.empty()) {
      logbook = (fs::path(folder) / "logbook").string();
      fs::remove_all(logbook);
    }
    const kinetics::Sheet sheet = kinetics::read_sheet((fs::path(folder) / "sheet.csv").string());
    const kinetics::Roster roster =
        kinetics::read_roster((fs::path(folder) / "roster.toml").string());
    const DaySession day =
        kinetics::analyse_day((fs::path(folder) / "day.mp4").string(), sheet, &roster, logbook, {});
    const Score score = score_of(day, truth_of(folder));
    print(score);
    return check && !good(score) ? 1 : 0;
  } catch (const std::exception& e) {
    std::cerr << "day_accuracy: " << e.what() << '\n';
    return 1;
  }
}
