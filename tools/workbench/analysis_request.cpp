#include "tools/workbench/analysis_request.h"

#include <array>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/inertial/gravity.h"
#include "libkinetics/session/analyse.h"
#include "libkinetics/session/options.h"
#include "libkinetics/session/use_plan.h"
#include "tools/workbench/set_choice.h"
#include "tools/workbench/uploads.h"

namespace kinetics::workbench {
namespace {

/// An option that is one number: its key, its range, and where it goes.
struct NumberOption {
  const char* key;
  Range range;
  void (*set)(AnalysisOptions&, double);
  std::optional<double> (*get)(const AnalysisOptions&);
};

using Number = std::optional<double>;

const std::array kNumbers{
    NumberOption{"disc_diameter_m",
                 kDiscDiameterM,
                 [](AnalysisOptions& o, double v) { o.tracking.disc_diameter_m = v; },
                 [](const AnalysisOptions& o) -> Number { return o.tracking.disc_diameter_m; }},
    NumberOption{"capture_rate_hz",
                 kCaptureRateHz,
                 [](AnalysisOptions& o, double v) { o.clip.capture_rate_hz = v; },
                 [](const AnalysisOptions& o) -> Number { return o.clip.capture_rate_hz; }},
    NumberOption{"readout_s",
                 kReadoutS,
                 [](AnalysisOptions& o, double v) { o.tracking.readout_s = v; },
                 [](const AnalysisOptions& o) -> Number { return o.tracking.readout_s; }},
    NumberOption{"camera_roll_rad",
                 kCameraRollRad,
                 [](AnalysisOptions& o, double v) { o.tracking.camera_roll_rad = v; },
                 [](const AnalysisOptions& o) -> Number { return o.tracking.camera_roll_rad; }},
    NumberOption{"threshold_mps",
                 kThresholdMps,
                 [](AnalysisOptions& o, double v) { o.reps.threshold_mps = v; },
                 [](const AnalysisOptions& o) -> Number { return o.reps.threshold_mps; }},
    NumberOption{"min_rise_m",
                 kMinRiseM,
                 [](AnalysisOptions& o, double v) { o.reps.min_rise_m = v; },
                 [](const AnalysisOptions& o) -> Number { return o.reps.min_rise_m; }},
    NumberOption{"set_gap_s",
                 kSetGapS,
                 [](AnalysisOptions& o, double v) { o.reps.set_gap_s = v; },
                 [](const AnalysisOptions& o) -> Number { return o.reps.set_gap_s; }},
    NumberOption{"slowed_loss",
                 kSlowedLoss,
                 [](AnalysisOptions& o, double v) { o.reps.slowed_loss = v; },
                 [](const AnalysisOptions& o) -> Number { return o.reps.slowed_loss; }},
    NumberOption{"log_rate_hz",
                 kLogRateHz,
                 [](AnalysisOptions& o, double v) { o.log.rate_hz = v; },
                 [](const AnalysisOptions& o) -> Number { return o.log.rate_hz; }},
    NumberOption{"latitude_deg",
                 kLatitudeDeg,
                 [](AnalysisOptions& o, double v) { o.strapdown.gravity_mps2 = gravity_at(v); },
                 [](const AnalysisOptions&) -> Number { return std::nullopt; }},
    NumberOption{"gravity_mps2",
                 kGravityMps2,
                 [](AnalysisOptions& o, double v) { o.strapdown.gravity_mps2 = v; },
                 [](const AnalysisOptions& o) -> Number { return o.strapdown.gravity_mps2; }}};

DiscSeed seed_of(const Json& seed) {
  if (!seed.is_object()) refuse_key("seed", "it is of the wrong kind");
  DiscSeed out;
  out.at.x_px = needed<double>(seed, "x_px");
  out.at.y_px = needed<double>(seed, "y_px");
  out.t_s = needed<double>(seed, "t_s");
  return out;
}

void set_option(const std::string& key, const Json& value, AnalysisOptions& out) {
  if (key == "seed") {
    out.tracking.seed = seed_of(value);
  } else if (key == "log_columns" && value.is_string()) {
    out.log.columns = value.get<std::string>();
  } else if (key == "log_units" && value.is_string()) {
    out.log.units = value.get<std::string>();
  } else {
    for (const NumberOption& number : kNumbers) {
      if (key != number.key) continue;
      if (!value.is_number() || !number.range.holds(value.get<double>())) {
        throw Refusal(
            400,
            "usage",
            key,
            fmt::format("{} is out of range", text_of(value)),
            fmt::format(
                "Give a value from {:g} to {:g}", number.range.least, number.range.greatest));
      }
      number.set(out, value.get<double>());
      return;
    }
    refuse_key(key.c_str(), "there is no such option, or its value is of the wrong kind");
  }
}

std::string recording_named(const Folder& folder, const Json& body, const char* key) {
  const auto name = value_or<std::string>(body, key, "");
  if (!name.empty()) (void)folder.recording(name);
  return name;
}

}  // namespace

Json option_ranges() {
  Json out = Json::object();
  const AnalysisOptions defaults;
  for (const NumberOption& number : kNumbers) {
    const Number usual = number.get(defaults);
    out[number.key] = {{"default", usual ? Json(*usual) : Json(nullptr)},
                       {"least", number.range.least},
                       {"greatest", number.range.greatest}};
  }
  return out;
}

AnalysisOptions apply_options(const Json& request, AnalysisOptions options) {
  if (request.is_null()) return options;
  if (!request.is_object()) refuse_key("options", "it is of the wrong kind");
  for (const auto& [key, value] : request.items()) {
    if (!value.is_null()) set_option(key, value, options);
  }
  return options;
}

std::string day_of(const Json& body) {
  const auto day = value_or<std::string>(body, "day", "");
  if (!day.empty() && !day_in(day)) refuse_key("day", "it is no day written as 2031-03-07");
  return day;
}

JobRequest analysis_of(const Folder& folder, const Json& body) {
  JobRequest request;
  request.clip = recording_named(folder, body, "clip");
  request.log = recording_named(folder, body, "log");
  if (request.clip.empty() && request.log.empty()) {
    throw Refusal(400, "usage", "clip", "neither a clip nor a log is named", "Choose one");
  }
  if (!request.clip.empty() && kind_of_recording(request.clip) != "clip") {
    throw Refusal(400, "usage", request.clip, "this is no clip", "Choose it as the log");
  }
  if (!request.log.empty() && kind_of_recording(request.log) != "log") {
    throw Refusal(400, "usage", request.log, "this is no log", "Choose it as the clip");
  }
  request.title = request.clip.empty() ? request.log : request.clip;
  if (!request.clip.empty() && !request.log.empty()) request.title += " with " + request.log;
  request.day = day_of(body);
  request.set = body.contains("set") ? body["set"] : Json(nullptr);
  request.options = body.contains("options") ? body["options"] : Json(nullptr);
  check(plan_of(folder, request).options);
  return request;
}

AnalysisPlan plan_of(const Folder& folder, const JobRequest& request) {
  AnalysisPlan plan{.options = apply_options(request.options, {}), .notes = {}};
  // What the coach says goes before what the sheet or the clip tells.
  plan.options.held_on = {.day = request.day, .told_by = ""};
  const bool loss_typed = request.options.is_object() && request.options.contains("slowed_loss");
  const double typed_loss = plan.options.reps.slowed_loss;
  const std::string& recording = request.clip.empty() ? request.log : request.clip;
  if (auto planned = planned_set(folder, request.set, recording)) {
    plan.notes = planned->notes;
    use_planned(std::move(*planned), plan.options);
  } else if (const std::optional<Roster> roster = roster_in(folder)) {
    plan.options.thresholds = roster->thresholds;
  }
  plan.options.reps.slowed_loss = loss_typed ? typed_loss : plan.options.thresholds.slowed_loss;
  return plan;
}

Session analyse(const Folder& folder,
                const JobRequest& request,
                const AnalysisPlan& plan,
                const JobTalk& talk) {
  const bool has_clip = !request.clip.empty();
  const bool has_log = !request.log.empty();
  const std::string clip = has_clip ? folder.recording(request.clip).string() : "";
  const std::string log = has_log ? folder.recording(request.log).string() : "";
  talk.step(has_clip ? "Following the bar" : "Reading the log");
  Session session = !has_clip ? analyse_log(log, plan.options, talk.progress)
                    : has_log ? analyse_clip_with_log(clip, log, plan.options, talk.progress)
                              : analyse_clip(clip, plan.options, talk.progress);
  session.notes.insert(session.notes.begin(), plan.notes.begin(), plan.notes.end());
  return session;
}

}  // namespace kinetics::workbench
