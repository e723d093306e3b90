#include "libkinetics/report/json.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "libkinetics/report/flag_words.h"
#include "libkinetics/report/json_parts.h"
#include "libkinetics/report/unit_word.h"
#include "libkinetics/session/rep_quantities.h"

namespace kinetics {
namespace {

using json_parts::Json;
using json_parts::of;
using json_parts::or_null;
using json_parts::rounded;
using json_parts::text_of;

constexpr int kSchemaVersion = 1;

Json of(const Rep& rep) {
  Json out = {{"set", rep.set},
              {"rep", rep.number},
              {"kind", in_words(rep.kind)},
              {"start_s", rounded(rep.start_s)},
              {"end_s", rounded(rep.end_s)},
              {"bottom_height_m", rounded(rep.bottom_height_m)},
              {"top_height_m", rounded(rep.top_height_m)}};
  for (const Quantity& q : kQuantities) out[name_of(q)] = of(rep.*q.member);
  return out;
}

Json reps_of(const Session& session) {
  Json out = Json::array();
  for (const Rep& rep : session.reps) {
    out.push_back(of(rep));
    out.back()["flags"] = flag_words(session, rep);
  }
  return out;
}

Json of(const Finding& finding) {
  return {{"set", finding.set},
          {"rep", finding.rep},
          {"kind", in_words(finding.kind)},
          {"certainty", in_words(finding.certainty)},
          {"evidence", finding.evidence}};
}

Json of(const Provenance& p) {
  return {{"program_version", p.program_version},
          {"analysed_at", p.analysed_at},
          {"source_name", p.source_name},
          {"source_sha256", p.source_sha256.empty() ? Json(nullptr) : Json(p.source_sha256)},
          {"libraries", p.libraries},
          {"held_on", p.held_on.empty() ? Json(nullptr) : Json(p.held_on)},
          {"supersedes", p.supersedes.empty() ? Json(nullptr) : Json(p.supersedes)}};
}

Json of(const CorrectionMade& made) {
  return {{"made_at", made.made_at},
          {"of_file", made.of_file},
          {"what", made.what},
          {"before", made.before},
          {"after", made.after},
          {"words", made.words}};
}

Json of(const ClipInfo& clip) {
  return {{"container", clip.container},
          {"codec", clip.codec},
          {"width_px", clip.width_px},
          {"height_px", clip.height_px},
          {"pixel_aspect", clip.pixel_aspect},
          {"rotation_deg", clip.rotation_deg},
          {"mirrored", clip.mirrored},
          {"bit_depth", clip.bit_depth},
          {"frame_rate_hz", clip.frame_rate_hz},
          {"duration_s", or_null(clip.duration_s)},
          {"slow_motion_factor", clip.slow_motion_factor},
          {"recorded_at", clip.recorded_at.empty() ? Json(nullptr) : Json(clip.recorded_at)}};
}

Json of(const LogInfo& log) {
  Json out = {
      {"name", log.name},
      {"sha256", log.sha256.empty() ? Json(nullptr) : Json(log.sha256)},
      {"holds", log.holds_positions ? "positions" : "accelerations"},
      {"has_gyroscope", log.has_gyroscope},
      {"rate_hz", rounded(log.rate_hz)},
      {"rows", log.rows},
      {"started_unix_s", log.started_unix_s > 0.0 ? Json(log.started_unix_s) : Json(nullptr)}};
  if (log.offset_s) {
    out["offset_s"] = rounded(*log.offset_s);
    out["offset_sigma_s"] = or_null(log.offset_sigma_s);
    out["skew"] = or_null(log.skew);
    out["skew_sigma"] = or_null(log.skew_sigma);
    out["agreement"] = or_null(log.agreement);
  }
  return out;
}

Json of(const Chain& c) {
  return {{"name", c.name},
          {"mass_kg_per_m", c.mass_kg_per_m},
          {"free_length_m", c.free_length_m},
          {"doubled", c.doubled},
          {"leader_length_m", c.leader_length_m},
          {"attachment_below_bar_m", c.attachment_below_bar_m},
          {"strands", c.strands}};
}

Json of(const Band& b) {
  return {{"name", b.name},
          {"anchor_height_m", b.anchor_height_m},
          {"doubled", b.doubled},
          {"count", b.count}};
}

/// What was on the bar. The bands' tension curves are in the logbook file.
Json of(const LoadingChoice& loading) {
  Json out = {{"bar_height_at_bottom_m", or_null(loading.bar_height_at_bottom_m)},
              {"bar_height_at_lockout_m", or_null(loading.bar_height_at_lockout_m)},
              {"bar_height_sigma_m", loading.height_sigma_m}};
  if (!loading.load) return out;
  out["bar_kg"] = loading.load->bar_kg;
  out["discs_kg"] = loading.load->discs_kg;
  out["collars_kg"] = loading.load->collars_kg;
  out["chains"] = Json::array();
  for (const Chain& c : loading.load->chains) out["chains"].push_back(of(c));
  out["bands"] = Json::array();
  for (const Band& b : loading.load->bands) out["bands"].push_back(of(b));
  return out;
}

Json of(const AnalysisOptions& options) {
  const TrackingOptions& tracking = options.tracking;
  Json seed = nullptr;
  if (tracking.seed) {
    seed = {{"x_px", tracking.seed->at.x_px},
            {"y_px", tracking.seed->at.y_px},
            {"t_s", tracking.seed->t_s}};
  }
  Json zone = nullptr;
  if (options.thresholds.zone) {
    zone = {options.thresholds.zone->lowest_mps, options.thresholds.zone->highest_mps};
  }
  return {{"capture_rate_hz", or_null(options.clip.capture_rate_hz)},
          {"disc_diameter_m", tracking.disc_diameter_m},
          {"disc_diameter_sigma_m", tracking.disc_diameter_sigma_m},
          {"seed", seed},
          {"camera_roll_rad", or_null(tracking.camera_roll_rad)},
          {"readout_s", or_null(tracking.readout_s)},
          {"jerk_psd_m2ps5", or_null(options.motion.jerk_psd_m2ps5)},
          {"max_gap_s", options.motion.max_gap_s},
          {"threshold_mps", options.reps.threshold_mps},
          {"min_rise_m", options.reps.min_rise_m},
          {"set_gap_s", options.reps.set_gap_s},
          {"log_columns", options.log.columns},
          {"log_units", options.log.units},
          {"log_rate_hz", or_null(options.log.rate_hz)},
          {"gravity_mps2", options.strapdown.gravity_mps2},
          {"slowed_loss", options.reps.slowed_loss},
          {"loading", options.loading.load ? of(options.loading) : Json(nullptr)},
          {"below_expected_mps", options.thresholds.below_expected_mps},
          {"zone_mps", zone},
          {"high_bottom_m", options.thresholds.high_bottom_m},
          {"uneven_pause_s", options.thresholds.uneven_pause_s}};
}

Json of(const ExpectedVelocity& point) {
  return {{"load_kg", rounded(point.load_kg)},
          {"velocity_mps", point.velocity_mps},
          {"sigma_mps", point.sigma_mps}};
}

Json of(const LoadLimit& limit) {
  return {{"of", limit.of}, {"limit_kg", rounded(limit.limit_kg)}};
}

Json of(const LiftedRep& rep);
Json of(const LiftedSet& set);

template <typename List>
Json list_of(const List& items) {
  Json out = Json::array();
  for (const auto& item : items) out.push_back(of(item));
  return out;
}

Json of(const SetPlan& plan) {
  return {{"sheet", plan.sheet},
          {"row", plan.row},
          {"lifter", plan.lifter},
          {"lift", plan.lift},
          {"bar", plan.bar},
          {"box_height_m", or_null(plan.box_height_m)},
          {"stated_load_kg", rounded(plan.stated_load_kg)},
          {"stated_in", unit_word(plan.unit)},
          {"set", or_null(plan.set)},
          {"planned_reps", or_null(plan.planned_reps)},
          {"start", plan.start},
          {"notes", plan.notes},
          {"best_single_kg", or_null(plan.best_single_kg)},
          {"accommodating", plan.accommodating},
          {"expected", list_of(plan.expected)},
          {"limits", list_of(plan.limits)}};
}

Json columns_of(const Motion& motion, std::size_t most) {
  Json t = Json::array();
  Json height = Json::array();
  Json velocity = Json::array();
  Json sigma = Json::array();
  Json measured = Json::array();
  const std::size_t count = motion.samples.size();
  const std::size_t step = most < count ? (count + most - 1) / std::max<std::size_t>(most, 1) : 1;
  for (std::size_t i = 0; most > 0 && i < count; i += step) {
    const MotionSample& s = motion.samples[i];
    t.push_back(rounded(s.t_s));
    height.push_back(rounded(s.height_m));
    velocity.push_back(rounded(s.velocity_mps));
    sigma.push_back(rounded(s.velocity_sigma_mps));
    measured.push_back(s.measured);
  }
  return {{"t_s", std::move(t)},
          {"height_m", std::move(height)},
          {"velocity_mps", std::move(velocity)},
          {"velocity_sigma_mps", std::move(sigma)},
          {"measured", std::move(measured)}};
}

double to_hundredth(double value_px) {
  return std::round(value_px * 100.0) / 100.0;
}

const char* in_words(Sighting sighting) {
  switch (sighting) {
    case Sighting::kSeen:
      return "seen";
    case Sighting::kCoasted:
      return "coasted";
    case Sighting::kLost:
      return "lost";
  }
  return "lost";
}

Json of(const LiftedRep& rep) {
  return {{"rep", rep.number},
          {"kind", in_words(rep.kind)},
          {"mean_velocity_mps", of(rep.mean_velocity_mps)},
          {"peak_velocity_mps", of(rep.peak_velocity_mps)},
          {"propulsive_velocity_mps", of(rep.propulsive_velocity_mps)},
          {"rom_m", of(rep.rom_m)},
          {"mean_force_n", of(rep.mean_force_n)},
          {"mean_power_w", of(rep.mean_power_w)},
          {"work_j", of(rep.work_j)},
          {"bottom_load_kg", of(rep.bottom_load_kg)},
          {"mean_load_kg", of(rep.mean_load_kg)},
          {"top_load_kg", of(rep.top_load_kg)},
          {"sticking_low_height", of(rep.sticking_low_height)}};
}

Json of(const LiftedSet& set) {
  return {{"session", set.session},
          {"day", set.day},
          {"start", set.start},
          {"lifter", set.lifter},
          {"lift", set.lift},
          {"bar", set.bar},
          {"box_height_m", or_null(set.box_height_m)},
          {"accommodating", set.accommodating},
          {"stated_load_kg", rounded(set.stated_load_kg)},
          {"unit", unit_word(set.unit)},
          {"set", set.set},
          {"reps", list_of(set.reps)}};
}

/// All but the samples.
Json head_of(const Session& session) {
  return {{"format", "kinetics session"},
          {"schema_version", kSchemaVersion},
          {"provenance", of(session.provenance)},
          {"clip", has_clip(session) ? of(session.clip) : Json(nullptr)},
          {"log", session.log ? of(*session.log) : Json(nullptr)},
          {"options", of(session.options)},
          {"notes", list_of(session.notes)},
          {"plan", session.options.plan ? of(*session.options.plan) : Json(nullptr)},
          {"reps", reps_of(session)},
          {"findings", list_of(session.findings)},
          {"corrections", list_of(session.corrections)}};
}

}  // namespace

std::string to_json(const std::vector<NamedSession>& sessions) {
  Json all = Json::array();
  for (const NamedSession& named : sessions) {
    all.push_back({{"file", named.file}});
    all.back().update(head_of(named.session));
  }
  return text_of({{"format", "kinetics logbook"},
                  {"schema_version", kSchemaVersion},
                  {"sessions", std::move(all)}},
                 1) +
         "\n";
}

std::string to_json(const Session& session) {
  return to_json(session, std::numeric_limits<std::size_t>::max());
}

std::string to_json(const Session& session, std::size_t most_samples) {
  std::string text = text_of(head_of(session), 2);
  // The columns go on one line each: indented they would take a line a number.
  text.erase(text.rfind("\n}"));
  text += ",\n  \"samples\": {";
  const Json columns = columns_of(session.motion, most_samples);
  const char* separator = "\n";
  for (const auto& [name, column] : columns.items()) {
    text += separator + ("    \"" + name + "\": ") + text_of(column, -1);
    separator = ",\n";
  }
  return text + "\n  }\n}\n";
}

std::string disc_to_json(const Session& session) {
  Json out = {{"frame", Json::array()},
              {"t_s", Json::array()},
              {"sighting", Json::array()},
              {"x_px", Json::array()},
              {"y_px", Json::array()},
              {"half_width_px", Json::array()},
              {"half_height_px", Json::array()},
              {"tilt", Json::array()}};
  for (const DiscSighting& s : session.disc.sightings) {
    out["frame"].push_back(s.frame);
    out["t_s"].push_back(rounded(s.t_s));
    out["sighting"].push_back(in_words(s.sighting));
    out["x_px"].push_back(to_hundredth(s.centre.x_px));
    out["y_px"].push_back(to_hundredth(s.centre.y_px));
    out["half_width_px"].push_back(to_hundredth(s.half_width_px));
    out["half_height_px"].push_back(to_hundredth(s.half_height_px));
    out["tilt"].push_back(rounded(s.tilt));
  }
  return text_of(out, -1);
}

std::string to_json(const std::vector<LiftedSet>& sets, const Notes& notes) {
  return text_of(Json{{"sets", list_of(sets)}, {"notes", list_of(notes)}}, -1);
}

}  // namespace kinetics
