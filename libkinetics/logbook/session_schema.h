#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include "libkinetics/logbook/load_schema.h"
#include "libkinetics/session/rep_quantities.h"
#include "libkinetics/session/session.h"

/// What stands where in a session file, said once for writing and for reading. Private to the
/// logbook; session_file.h documents the same for readers of the files.
///
/// An archive offers:
///   attribute(name, value)             a number, a truth or a text of the group
///   added_attribute(name, value)       likewise, left as it is when an older file lacks it
///   optional(name, value)              a number, absent when empty
///   optional_seed(value)               three numbers, absent when empty
///   choice(name, value, all)           an enumerator, stored as its word
///   column(name, unit, rows, field)    one number a row
///   added_column(...)                  likewise, left as it is when an older file lacks it
///   choices(name, rows, field, all)    one enumerator a row, stored as its word
///   texts(name, rows, field)           one text a row
///   measured(quantity, rows)           value, standard error and reason of a Measured, a row
///   flags(name, rows)                  a rep's flags, words parted by spaces
/// The first column read gives `rows` its length; all others must agree with it.

namespace kinetics::schema {

inline constexpr const char* kFormat = "kinetics session";
inline constexpr int kVersion = 1;

/// An enumerator and its word in the file.
template <typename Enum>
struct Word {
  using Value = Enum;
  Enum value;
  std::string_view word;
};

inline constexpr std::array kSightings{Word<Sighting>{Sighting::kSeen, "seen"},
                                       Word<Sighting>{Sighting::kCoasted, "coasted"},
                                       Word<Sighting>{Sighting::kLost, "lost"}};
inline constexpr std::array kReadouts{Word<ReadoutDirection>{ReadoutDirection::kDown, "down"},
                                      Word<ReadoutDirection>{ReadoutDirection::kUp, "up"},
                                      Word<ReadoutDirection>{ReadoutDirection::kRight, "right"},
                                      Word<ReadoutDirection>{ReadoutDirection::kLeft, "left"}};
inline constexpr std::array kNoteKinds{Word<NoteKind>{NoteKind::kDecision, "decision"},
                                       Word<NoteKind>{NoteKind::kCaution, "caution"}};

// Enumerators whose words the library itself defines.
inline constexpr std::array kRepKinds{RepKind::kFull, RepKind::kPartial, RepKind::kFailed};
inline constexpr std::array kFlagKinds{FlagKind::kSlowed,
                                       FlagKind::kMaybeSlowed,
                                       FlagKind::kPartial,
                                       FlagKind::kFailed,
                                       FlagKind::kNotMeasured};
inline constexpr std::array kReasons{Reason::kDiscHidden,
                                     Reason::kTooFewFrames,
                                     Reason::kOutsideClip,
                                     Reason::kNoReadings,
                                     Reason::kLoadUnknown,
                                     Reason::kHeightUnknown,
                                     Reason::kWithinNoise,
                                     Reason::kNotApplicable,
                                     Reason::kNotGiven};

inline constexpr std::array kFindingKinds{FindingKind::kSlowed,
                                          FindingKind::kBelowExpected,
                                          FindingKind::kTooHeavy,
                                          FindingKind::kTooLight,
                                          FindingKind::kHighBottom,
                                          FindingKind::kUnevenPause,
                                          FindingKind::kNotMeasured};
inline constexpr std::array kCertainties{
    Certainty::kCertain, Certainty::kLikely, Certainty::kCannotTell};

template <typename Enum, std::size_t N>
std::array<Word<Enum>, N> with_words(const std::array<Enum, N>& values) {
  std::array<Word<Enum>, N> out{};
  for (std::size_t i = 0; i < N; ++i) out[i] = {values[i], in_words(values[i])};
  return out;
}

/// Names a field of a row, whether the row is const or not.
#define KINETICS_FIELD(field) ([](auto& row) -> auto& { return row.field; })

template <typename Archive, typename ProvenanceT>
void describe_provenance(Archive& a, ProvenanceT& p) {
  a.attribute("program_version", p.program_version);
  a.attribute("analysed_at", p.analysed_at);
  a.attribute("source_name", p.source_name);
  a.attribute("source_sha256", p.source_sha256);
  a.attribute("libraries", p.libraries);
  a.added_attribute("held_on", p.held_on);
  a.added_attribute("supersedes", p.supersedes);
}

template <typename Archive, typename ClipT>
void describe_clip(Archive& a, ClipT& clip) {
  a.attribute("path", clip.path);
  a.attribute("container", clip.container);
  a.attribute("codec", clip.codec);
  a.attribute("width_px", clip.width_px);
  a.attribute("height_px", clip.height_px);
  a.attribute("pixel_aspect", clip.pixel_aspect);
  a.attribute("rotation_deg", clip.rotation_deg);
  a.attribute("mirrored", clip.mirrored);
  a.attribute("bit_depth", clip.bit_depth);
  a.attribute("frame_rate_hz", clip.frame_rate_hz);
  a.optional("duration_s", clip.duration_s);
  a.attribute("slow_motion_factor", clip.slow_motion_factor);
  a.choice("readout", clip.readout, kReadouts);
  a.added_attribute("recorded_at", clip.recorded_at);
}

template <typename Archive, typename OptionsT>
void describe_options(Archive& a, OptionsT& options) {
  a.optional("capture_rate_hz", options.clip.capture_rate_hz);
  a.attribute("disc_diameter_m", options.tracking.disc_diameter_m);
  a.attribute("disc_diameter_sigma_m", options.tracking.disc_diameter_sigma_m);
  a.optional_seed(options.tracking.seed);
  a.optional("camera_roll_rad", options.tracking.camera_roll_rad);
  a.optional("readout_s", options.tracking.readout_s);
  a.optional("jerk_psd_m2ps5", options.motion.jerk_psd_m2ps5);
  a.attribute("max_gap_s", options.motion.max_gap_s);
  a.attribute("threshold_mps", options.reps.threshold_mps);
  a.attribute("min_rise_m", options.reps.min_rise_m);
  a.attribute("set_gap_s", options.reps.set_gap_s);
  a.attribute("slowed_loss", options.reps.slowed_loss);
  a.added_attribute("log_columns", options.log.columns);
  a.added_attribute("log_units", options.log.units);
  a.optional("log_rate_hz", options.log.rate_hz);
  a.added_attribute("gravity_mps2", options.strapdown.gravity_mps2);
  a.optional("bar_height_at_bottom_m", options.loading.bar_height_at_bottom_m);
  a.optional("bar_height_at_lockout_m", options.loading.bar_height_at_lockout_m);
  a.added_attribute("bar_height_sigma_m", options.loading.height_sigma_m);
  a.added_attribute("below_expected_mps", options.thresholds.below_expected_mps);
  a.added_attribute("high_bottom_m", options.thresholds.high_bottom_m);
  a.added_attribute("uneven_pause_s", options.thresholds.uneven_pause_s);
  a.optional_zone(options.thresholds.zone);
}

template <typename Archive, typename LogT>
void describe_log(Archive& a, LogT& log) {
  a.attribute("name", log.name);
  a.attribute("sha256", log.sha256);
  a.attribute("holds_positions", log.holds_positions);
  a.attribute("has_gyroscope", log.has_gyroscope);
  a.attribute("rate_hz", log.rate_hz);
  a.attribute("rows", log.rows);
  a.attribute("started_unix_s", log.started_unix_s);
  a.optional("offset_s", log.offset_s);
  a.optional("offset_sigma_s", log.offset_sigma_s);
  a.optional("skew", log.skew);
  a.optional("skew_sigma", log.skew_sigma);
  a.optional("agreement", log.agreement);
}

template <typename Archive, typename DiscT>
void describe_disc(Archive& a, DiscT& disc) {
  auto& rows = disc.sightings;
  a.column("frame", "1", rows, KINETICS_FIELD(frame));
  a.column("t_s", "s", rows, KINETICS_FIELD(t_s));
  a.choices("sighting", rows, KINETICS_FIELD(sighting), kSightings);
  a.column("centre_x_px", "px", rows, KINETICS_FIELD(centre.x_px));
  a.column("centre_y_px", "px", rows, KINETICS_FIELD(centre.y_px));
  a.column("half_width_px", "px", rows, KINETICS_FIELD(half_width_px));
  a.column("half_height_px", "px", rows, KINETICS_FIELD(half_height_px));
  a.column("tilt", "1", rows, KINETICS_FIELD(tilt));
  a.column("sigma_x_px", "px", rows, KINETICS_FIELD(sigma_x_px));
  a.column("sigma_y_px", "px", rows, KINETICS_FIELD(sigma_y_px));
  a.column("rim_seen", "1", rows, KINETICS_FIELD(rim_seen));
  a.column("camera_shift_x_px", "px", rows, KINETICS_FIELD(camera_shift.x_px));
  a.column("camera_shift_y_px", "px", rows, KINETICS_FIELD(camera_shift.y_px));
}

template <typename Archive, typename PathT>
void describe_path(Archive& a, PathT& path) {
  a.attribute("scale_sigma_rel", path.scale_sigma_rel);
  a.attribute("shutter_sigma_s_per_m", path.shutter_sigma_s_per_m);
  a.attribute("stamp_sigma_s", path.stamp_sigma_s);
  a.added_attribute("slow_time_sigma_s", path.slow_time_sigma_s);
  a.added_attribute("hold_sigma_m", path.hold_sigma_m);
  a.added_attribute("alike_s", path.alike_s);
  auto& rows = path.points;
  a.column("t_s", "s", rows, KINETICS_FIELD(t_s));
  a.column("x_m", "m", rows, KINETICS_FIELD(x_m));
  a.column("y_m", "m", rows, KINETICS_FIELD(y_m));
  a.column("sigma_x_m", "m", rows, KINETICS_FIELD(sigma_x_m));
  a.column("sigma_y_m", "m", rows, KINETICS_FIELD(sigma_y_m));
  a.added_column("lasting_sigma_m", "m", rows, KINETICS_FIELD(lasting_sigma_m));
  a.column("seen", "1", rows, KINETICS_FIELD(seen));
}

template <typename Archive, typename MotionT>
void describe_motion(Archive& a, MotionT& motion) {
  a.attribute("jerk_psd_m2ps5", motion.jerk_psd_m2ps5);
  a.attribute("noise_scale", motion.noise_scale);
  a.attribute("gaps_bridged", motion.gaps_bridged);
  a.attribute("scale_sigma_rel", motion.scale_sigma_rel);
  a.attribute("shutter_sigma_s_per_m", motion.shutter_sigma_s_per_m);
  a.attribute("stamp_sigma_s", motion.stamp_sigma_s);
  a.added_attribute("slow_time_sigma_s", motion.slow_time_sigma_s);
  a.added_attribute("hold_sigma_m", motion.hold_sigma_m);
  auto& rows = motion.samples;
  a.column("t_s", "s", rows, KINETICS_FIELD(t_s));
  a.column("x_m", "m", rows, KINETICS_FIELD(x_m));
  a.column("height_m", "m", rows, KINETICS_FIELD(height_m));
  a.column("velocity_mps", "m/s", rows, KINETICS_FIELD(velocity_mps));
  a.column("accel_mps2", "m/s2", rows, KINETICS_FIELD(accel_mps2));
  a.column("height_sigma_m", "m", rows, KINETICS_FIELD(height_sigma_m));
  a.added_column("lasting_sigma_m", "m", rows, KINETICS_FIELD(lasting_sigma_m));
  a.column("velocity_sigma_mps", "m/s", rows, KINETICS_FIELD(velocity_sigma_mps));
  a.column("accel_sigma_mps2", "m/s2", rows, KINETICS_FIELD(accel_sigma_mps2));
  a.column("measured", "1", rows, KINETICS_FIELD(measured));
}

/// The first eleven quantities stand in every file, the others in those written since.
inline bool was_added(const Quantity& quantity) {
  constexpr std::ptrdiff_t kFromTheStart = 11;
  return &quantity - kQuantities.data() >= kFromTheStart;
}

template <typename Archive, typename RepsT>
void describe_reps(Archive& a, RepsT& reps) {
  a.column("set", "1", reps, KINETICS_FIELD(set));
  a.column("rep", "1", reps, KINETICS_FIELD(number));
  a.choices("kind", reps, KINETICS_FIELD(kind), with_words(kRepKinds));
  a.column("start_s", "s", reps, KINETICS_FIELD(start_s));
  a.column("end_s", "s", reps, KINETICS_FIELD(end_s));
  a.column("bottom_height_m", "m", reps, KINETICS_FIELD(bottom_height_m));
  a.column("top_height_m", "m", reps, KINETICS_FIELD(top_height_m));
  for (const Quantity& quantity : kQuantities) a.measured(quantity, reps);
  a.flags("flags", reps);
}

template <typename Archive, typename PlanT>
void describe_plan(Archive& a, PlanT& plan) {
  a.attribute("sheet", plan.sheet);
  a.attribute("row", plan.row);
  a.attribute("lifter", plan.lifter);
  a.attribute("lift", plan.lift);
  a.attribute("bar", plan.bar);
  a.optional("box_height_m", plan.box_height_m);
  a.attribute("stated_load_kg", plan.stated_load_kg);
  a.choice("stated_in", plan.unit, kMassUnits);
  a.optional("set", plan.set);
  a.optional("planned_reps", plan.planned_reps);
  a.attribute("start", plan.start);
  a.attribute("notes", plan.notes);
  a.optional("best_single_kg", plan.best_single_kg);
  a.added_attribute("accommodating", plan.accommodating);
}

template <typename Archive, typename PointsT>
void describe_expected(Archive& a, PointsT& points) {
  a.column("load_kg", "kg", points, KINETICS_FIELD(load_kg));
  a.column("velocity_mps", "m/s", points, KINETICS_FIELD(velocity_mps));
  a.column("sigma_mps", "m/s", points, KINETICS_FIELD(sigma_mps));
}

template <typename Archive, typename LimitsT>
void describe_limits(Archive& a, LimitsT& limits) {
  a.texts("of", limits, KINETICS_FIELD(of));
  a.column("limit_kg", "kg", limits, KINETICS_FIELD(limit_kg));
}

template <typename Archive, typename FindingsT>
void describe_findings(Archive& a, FindingsT& findings) {
  a.column("set", "1", findings, KINETICS_FIELD(set));
  a.column("rep", "1", findings, KINETICS_FIELD(rep));
  a.choices("kind", findings, KINETICS_FIELD(kind), with_words(kFindingKinds));
  a.choices("certainty", findings, KINETICS_FIELD(certainty), with_words(kCertainties));
  a.texts("evidence", findings, KINETICS_FIELD(evidence));
}

template <typename Archive, typename NotesT>
void describe_notes(Archive& a, NotesT& notes) {
  a.choices("kind", notes, KINETICS_FIELD(kind), kNoteKinds);
  a.texts("text", notes, KINETICS_FIELD(text));
}

template <typename Archive, typename CorrectionsT>
void describe_corrections(Archive& a, CorrectionsT& corrections) {
  a.texts("made_at", corrections, KINETICS_FIELD(made_at));
  a.texts("of_file", corrections, KINETICS_FIELD(of_file));
  a.texts("what", corrections, KINETICS_FIELD(what));
  a.texts("before", corrections, KINETICS_FIELD(before));
  a.texts("after", corrections, KINETICS_FIELD(after));
  a.texts("words", corrections, KINETICS_FIELD(words));
}

/// Calls `in_group(name, describe)` for each group of the file, `in_optional_group(name, value,
/// describe)` for those that need not be there, and `in_added_group(name, describe)` for those that
/// older files lack.
template <typename SessionT, typename InGroup, typename InOptionalGroup, typename InAddedGroup>
void describe_session(SessionT& session,
                      InGroup&& in_group,
                      InOptionalGroup&& in_optional_group,
                      InAddedGroup&& in_added_group) {
  in_group("provenance", [&](auto& a) { describe_provenance(a, session.provenance); });
  in_group("clip", [&](auto& a) { describe_clip(a, session.clip); });
  in_optional_group("log", session.log, [&](auto& a, auto& log) { describe_log(a, log); });
  in_group("options", [&](auto& a) { describe_options(a, session.options); });
  describe_load_groups(session.options.loading.load, in_optional_group);
  auto& plan = session.options.plan;
  in_optional_group("plan", plan, [&](auto& a, auto& value) { describe_plan(a, value); });
  if (plan) {
    in_group("plan_expected", [&](auto& a) { describe_expected(a, plan->expected); });
    in_group("plan_limits", [&](auto& a) { describe_limits(a, plan->limits); });
  }
  in_group("disc", [&](auto& a) { describe_disc(a, session.disc); });
  in_group("path", [&](auto& a) { describe_path(a, session.path); });
  in_group("motion", [&](auto& a) { describe_motion(a, session.motion); });
  in_group("reps", [&](auto& a) { describe_reps(a, session.reps); });
  in_added_group("findings", [&](auto& a) { describe_findings(a, session.findings); });
  in_group("notes", [&](auto& a) { describe_notes(a, session.notes); });
  in_added_group("corrections", [&](auto& a) { describe_corrections(a, session.corrections); });
}

#undef KINETICS_FIELD

}  // namespace kinetics::schema
