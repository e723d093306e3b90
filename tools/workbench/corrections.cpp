#include "tools/workbench/corrections.h"

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/roster/load_words.h"
#include "libkinetics/session/correct.h"
#include "tools/workbench/analysis_request.h"
#include "tools/workbench/set_choice.h"

namespace kinetics::workbench {
namespace {

constexpr const char* kTakenBack = "taken back";

/// Corrections stored in one go share the file they were made from.
struct Step {
  std::string of_file;
  std::vector<CorrectionMade> changes;
  bool undone = false;  ///< or itself one that took another back
};

std::vector<Step> steps_of(const Session& session) {
  std::vector<Step> steps;
  for (const CorrectionMade& made : session.corrections) {
    if (steps.empty() || steps.back().of_file != made.of_file)
      steps.push_back({made.of_file, {}, false});
    steps.back().changes.push_back(made);
  }
  for (std::size_t i = 0; i < steps.size(); ++i) {
    if (steps[i].changes.front().what != kTakenBack) continue;
    steps[i].undone = true;
    for (std::size_t k = i; k-- > 0;) {
      if (steps[k].undone) continue;
      steps[k].undone = true;
      break;
    }
  }
  return steps;
}

std::string in_words(const CorrectionMade& made) {
  if (made.before.empty()) return fmt::format("{}: {}", made.what, made.after);
  if (made.after.empty()) return fmt::format("{}: {}", made.what, made.before);
  return fmt::format("{}: {}, before {}", made.what, made.after, made.before);
}

std::string span_in_words(double start_s, double end_s) {
  return fmt::format("{:.2f} to {:.2f} s", start_s, end_s);
}

RepPlace place_in(const Json& request) {
  return {.set = needed<int>(request, "set"), .rep = needed<int>(request, "rep")};
}

std::string name_of(RepPlace place) {
  return fmt::format("set {} rep {}", place.set, place.rep);
}

/// The rep's place in time before the correction; empty when there is no such rep, which the
/// library refuses.
std::string span_of(const Session& session, RepPlace place) {
  for (const Rep& rep : session.reps) {
    if (rep.set == place.set && rep.number == place.rep)
      return span_in_words(rep.start_s, rep.end_s);
  }
  return "";
}

std::string count_in_words(int count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

/// "2 reps placed by hand, 1 rep left out"; empty when the coach had changed no rep.
std::string kept_in_words(const KeptReps& kept) {
  std::string out;
  if (kept.placed > 0) out = count_in_words(kept.placed, "rep") + " placed by hand";
  if (kept.left_out > 0) {
    out += (out.empty() ? "" : ", ") + count_in_words(kept.left_out, "rep") + " left out";
  }
  return out;
}

Note lost_in_words(const std::vector<RepSpan>& lost) {
  std::string where;
  for (const RepSpan& span : lost) {
    where += (where.empty() ? "" : "; ") + span_in_words(span.start_s, span.end_s);
  }
  return {NoteKind::kCaution,
          fmt::format("Reps that were placed by hand fit this measurement no more: {}. Place them "
                      "again; the measurement before is kept.",
                      where)};
}

std::string set_in_words(const Session& session) {
  const std::optional<SetPlan>& plan = session.options.plan;
  if (!plan) return "not told";
  const BarLoad load = session.options.loading.load.value_or(BarLoad{});
  std::string text = fmt::format("{}, {}, {}",
                                 plan->lifter,
                                 plan->lift,
                                 load_in_words(plan->stated_load_kg, plan->unit, load));
  if (!plan->bar.empty()) text += ", " + plan->bar;
  return text;
}

/// The notes that the set's present row of the sheet gave, to be forgotten with it. What the sheet
/// no longer says stays.
Notes notes_of_present_set(const Folder& folder, const Session& session) {
  const std::optional<SetPlan>& plan = session.options.plan;
  if (!plan || plan->sheet.empty() || plan->row < 1) return {};
  try {
    const auto planned = planned_set(
        folder, {{"sheet", plan->sheet}, {"row", plan->row}}, session.provenance.source_name);
    return planned ? planned->notes : Notes{};
  } catch (const std::exception&) {
    return {};
  }
}

Corrected with_other_set(const Folder& folder,
                         SessionStore& store,
                         const std::string& id,
                         const Json& request) {
  const auto session = store.load(id);
  const Json set = request.contains("set") ? request["set"] : Json(nullptr);
  const auto planned = planned_set(folder, set, session->provenance.source_name);
  Session out =
      with_set(*session, *store.motion(id), planned, notes_of_present_set(folder, *session));
  Change change{"lifter and load", set_in_words(*session), set_in_words(out)};
  return {std::move(out), {std::move(change)}};
}

Corrected with_other_disc(const Session& session, const Json& request) {
  const auto diameter_m = needed<double>(request, "disc_diameter_m");
  constexpr double kMillimetres = 1000.0;
  return {with_disc_diameter(session, diameter_m),
          {{"disc diameter",
            fmt::format("{:g} mm", kMillimetres * session.options.tracking.disc_diameter_m),
            fmt::format("{:g} mm", kMillimetres * diameter_m)}}};
}

Corrected with_other_reps(const Session& session,
                          const Motion& motion,
                          const std::string& kind,
                          const Json& request) {
  if (kind == "add_rep") {
    const RepSpan span{needed<double>(request, "start_s"), needed<double>(request, "end_s")};
    return {with_rep_added(session, motion, span),
            {{"rep added", "", span_in_words(span.start_s, span.end_s)}}};
  }
  const RepPlace place = place_in(request);
  const std::string before = fmt::format("{}, {}", name_of(place), span_of(session, place));
  if (kind == "move_rep") {
    const RepSpan span{needed<double>(request, "start_s"), needed<double>(request, "end_s")};
    return {with_rep_moved(session, motion, place, span),
            {{"rep moved", before, span_in_words(span.start_s, span.end_s)}}};
  }
  if (kind == "split_rep") {
    const auto at_s = needed<double>(request, "at_s");
    return {with_rep_split(session, motion, place, at_s),
            {{"rep split", before, fmt::format("two reps, parted at {:.2f} s", at_s)}}};
  }
  if (kind == "merge_reps") {
    return {with_reps_merged(session, motion, place),
            {{"reps merged", before, "one rep with the next"}}};
  }
  if (kind == "exclude_rep") {
    return {without_rep(session, motion, place), {{"rep excluded", before, ""}}};
  }
  throw Refusal(400, "usage", "kind", "there is no correction called " + kind, "Reload the page");
}

/// The recording of a session that must be read again.
std::string recording(const std::string& path, const std::string& name) {
  if (!path.empty()) return std::filesystem::path(path).filename().string();
  throw Refusal(404,
                "not_found",
                name,
                "it does not lie in the logbook any more, and must be read again for this",
                "Upload it again under this name");
}

}  // namespace

Corrected corrected(const Folder& folder,
                    SessionStore& store,
                    const std::string& id,
                    const Json& request) {
  const auto kind = needed<std::string>(request, "kind");
  if (kind == "set") return with_other_set(folder, store, id, request);
  const auto session = store.load(id);
  if (kind == "day") {
    Session out = *session;
    out.provenance.held_on = day_of(request);
    return {out, {{"day", session->provenance.held_on, out.provenance.held_on}}};
  }
  if (kind == "disc_diameter") return with_other_disc(*session, request);
  return with_other_reps(*session, *store.motion(id), kind, request);
}

std::optional<JobRequest> job_for(SessionStore& store, const std::string& id, const Json& request) {
  const auto kind = needed<std::string>(request, "kind");
  const auto session = store.load(id);
  const bool other_disc = kind == "disc_diameter" && session->log && has_clip(*session);
  if (kind != "seed" && !other_disc) return std::nullopt;
  if (!has_clip(*session)) {
    throw Refusal(400, "usage", "seed", "a log has no pictures to point at", "Choose a clip");
  }
  JobRequest job;
  job.kind = "correct";
  job.corrects = id;
  job.clip = recording(store.clip_path(*session), session->provenance.source_name);
  if (session->log) job.log = recording(store.log_path(*session), session->log->name);
  job.title = job.clip;
  job.options = Json::object();
  if (kind == "seed") {
    job.options["seed"] = {{"x_px", needed<double>(request, "x_px")},
                           {"y_px", needed<double>(request, "y_px")},
                           {"t_s", needed<double>(request, "t_s")}};
    job.words = fmt::format("({:.0f}, {:.0f}) pixels at {:.2f} s",
                            needed<double>(request, "x_px"),
                            needed<double>(request, "y_px"),
                            needed<double>(request, "t_s"));
  } else {
    const auto diameter_m = needed<double>(request, "disc_diameter_m");
    job.options["disc_diameter_m"] = diameter_m;
    job.words = fmt::format("{:g} mm", 1000.0 * diameter_m);
  }
  apply_options(job.options, AnalysisOptions{});  // refuses what is out of range now
  return job;
}

Corrected analysed_again(const Folder& folder,
                         SessionStore& store,
                         const JobRequest& request,
                         const JobTalk& talk) {
  const auto old = store.load(request.corrects);
  const AnalysisPlan plan{.options = apply_options(request.options, old->options),
                          .notes = notes_of_present_set(folder, *old)};
  const bool seed = request.options.contains("seed");
  constexpr double kMillimetres = 1000.0;
  const std::string before =
      seed ? "" : fmt::format("{:g} mm", kMillimetres * old->options.tracking.disc_diameter_m);
  Session again = analyse(folder, request, plan, talk);
  again.provenance.held_on = old->provenance.held_on;
  const Motion motion = again.motion;
  Corrected out = with_kept_corrections(store, again, motion, request.corrects);
  out.changes.insert(out.changes.begin(),
                     {seed ? "disc pointed at" : "disc diameter", before, request.words});
  return out;
}

Corrected with_kept_corrections(SessionStore& store,
                                const Session& fresh,
                                const Motion& fresh_motion,
                                const std::string& corrected_id) {
  KeptReps kept =
      with_kept_reps(fresh, fresh_motion, *store.load(corrected_id), *store.motion(corrected_id));
  Corrected out{.session = std::move(kept.session), .changes = {}};
  const std::string words = kept_in_words(kept);
  if (!words.empty()) out.changes.push_back({"kept by their times", "", words});
  if (!kept.lost.empty()) {
    out.session.notes.push_back(lost_in_words(kept.lost));
    out.changes.push_back({"not kept",
                           "",
                           count_in_words(static_cast<int>(kept.lost.size()), "rep") +
                               " placed by hand, which this measurement cannot hold"});
  }
  return out;
}

Corrected taken_back(SessionStore& store, const std::string& id) {
  const auto session = store.load(id);
  const std::vector<Step> steps = steps_of(*session);
  const auto last =
      std::find_if(steps.rbegin(), steps.rend(), [](const Step& step) { return !step.undone; });
  if (last == steps.rend()) {
    throw Refusal(409, "conflict", id, "no correction is left to take back", "Reload the page");
  }
  const std::string before = std::filesystem::path(last->of_file).stem().string();
  return {*store.load(before), {{kTakenBack, in_words(last->changes.front()), ""}}};
}

Json history_of(const Session& session) {
  Json out = Json::array();
  int number = 0;
  for (const Step& step : steps_of(session)) {
    for (const CorrectionMade& made : step.changes) {
      out.push_back({{"number", ++number},
                     {"at", made.made_at},
                     {"kind", made.what},
                     {"words", in_words(made)},
                     {"undone", step.undone && made.what != kTakenBack},
                     {"of", std::filesystem::path(made.of_file).stem().string()}});
    }
  }
  return out;
}

bool can_undo(const Session& session) {
  const std::vector<Step> steps = steps_of(session);
  return std::any_of(steps.begin(), steps.end(), [](const Step& step) { return !step.undone; });
}

}  // namespace kinetics::workbench
