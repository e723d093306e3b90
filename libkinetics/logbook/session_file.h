#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// A session on disk: one HDF5 file, written once.
///
/// The file, for readers in any language (HDF5 1.8 or newer; h5py, MATLAB and R read it plainly).
/// Units are SI. Whole numbers and truth values (0, 1) are 64-bit integers, other numbers 64-bit
/// floats, texts UTF-8. Every dataset is one-dimensional and has the text attribute `unit`: "s",
/// "m", "m/s", "m/s2", "px", "1" for a plain number, "text". All datasets of a group have the same
/// length. A standard error is 1 sigma; its square is the variance.
///
/// The first 512 bytes are an HDF5 user block, which HDF5 steps over by itself. It holds the
/// SHA-256 of all that follows, so that a file that was damaged or changed is refused and never
/// misread.
///
///   /            attributes format "kinetics session", schema_version 1
///   /provenance  attributes program_version, analysed_at (UTC), source_name, source_sha256 (empty
///                when not computed), libraries, held_on (local day, ISO 8601; empty or absent
///                when not known), supersedes (name of the session file that this one corrects;
///                empty or absent for none)
///   /clip        attributes path, container, codec, width_px, height_px, pixel_aspect,
///                rotation_deg, mirrored, bit_depth, frame_rate_hz, duration_s (absent when not
///                known), slow_motion_factor, readout, recorded_at (ISO 8601 with zone; empty or
///                absent when the container does not tell) Of a log alone the picture's size is 0
///                and /disc has no rows
///   /log         absent when only a clip was read; attributes name, sha256, holds_positions,
///                has_gyroscope, rate_hz, rows, started_unix_s (0 when the log does not say);
///                beside a clip offset_s, offset_sigma_s, skew, skew_sigma, agreement: clip time =
///                offset_s + log time · (1 + skew)
///   /options     attributes, absent when left to the program: capture_rate_hz, seed_x_px,
///                seed_y_px, seed_t_s, camera_roll_rad, readout_s, jerk_psd_m2ps5, log_rate_hz;
///                always there: disc_diameter_m, disc_diameter_sigma_m, max_gap_s, threshold_mps,
///                min_rise_m, set_gap_s, slowed_loss, log_columns, log_units, gravity_mps2,
///                bar_height_sigma_m, below_expected_mps, high_bottom_m, uneven_pause_s; absent
///                when not given: bar_height_at_bottom_m, bar_height_at_lockout_m, and together
///                zone_lowest_mps and zone_highest_mps
///   /load        absent when the load was not given; attributes bar_kg, discs_kg, collars_kg,
///                straight_sigma_kg, gravity_mps2, bar_name. Beside it, absent without any:
///   /load_discs  one row a mass of disc on one side: mass, unit ("kg", "lb"), count
///   /load_chains one row a kind of chain: name, mass_kg_per_m, mass_sigma_kg_per_m, free_length_m,
///                doubled, leader_length_m, leader_kg_per_m, attachment_below_bar_m, strands
///   /load_bands  one row a kind of band: name, rest_length_m, tension_sigma_n, known_to_m,
///                known_from_m, limit_length_m, anchor_height_m, anchor_offset_m, wrap_length_m,
///                doubled, mass_kg, count
///   /load_band_numbers  one row a number of a band's tension: band (row of /load_bands from 0),
///                kind ("tension row": first is a length in m, second its tension in N;
///                "polynomial", "covariance": first is the coefficient or entry, in order)
///   /plan        only with a sheet; attributes sheet, row, lifter, lift, bar, stated_load_kg,
///                stated_in ("kg", "lb"), start, notes; when known box_height_m, set,
///                planned_reps, best_single_kg; accommodating (chains and bands in words where
///                /load is absent)
///   /plan_expected, /plan_limits   likewise; one row a load (load_kg, velocity_mps, sigma_mps),
///                one row a limit (of, limit_kg)
///   /disc        one row a frame, in the picture: frame, t_s, sighting ("seen", "coasted",
///   "lost"),
///                centre_x_px, centre_y_px, half_width_px, half_height_px, tilt, sigma_x_px,
///                sigma_y_px, rim_seen, camera_shift_x_px, camera_shift_y_px
///   /path        one row a frame, in the gym, as measured: t_s, x_m, y_m, sigma_x_m, sigma_y_m,
///                lasting_sigma_m, seen; attributes scale_sigma_rel, shutter_sigma_s_per_m,
///                stamp_sigma_s, slow_time_sigma_s, hold_sigma_m, alike_s
///   /motion      one row a frame, smoothed: t_s, x_m, height_m, velocity_mps, accel_mps2,
///                height_sigma_m, velocity_sigma_mps, accel_sigma_mps2, lasting_sigma_m, measured;
///                attributes
///                jerk_psd_m2ps5, noise_scale, gaps_bridged and the first five of /path
///   /reps        one row a rep: set, rep, kind, start_s, end_s, bottom_height_m, top_height_m,
///                flags (words parted by spaces), and for each quantity of rep_quantities.h three
///                datasets, for example mean_velocity_mps, mean_velocity_sigma_mps (both NaN when
///                not measured) and mean_velocity_not_measured (the reason, else empty)
///   /findings    one row a finding: set, rep, kind, certainty ("certain", "likely",
///                "cannot tell"), evidence
///   /notes       one row a note: kind ("decision", "caution"), text
///   /corrections one row a correction by the coach, in the order they were made: made_at (UTC),
///                of_file (name of the session file as it was before), what, before, after, words
///                (a sentence)
///
/// A reader ignores what it does not know. schema_version grows when a meaning changes, not when
/// something is added.

namespace kinetics {

/// Writes the session into the folder (made when missing) and returns the file's path, which names
/// the day, the time and the clip. The file appears under its name only when it is whole and
/// flushed to disk; nothing existing is ever replaced. A killed process leaves at most a hidden
/// ".part" file, which nothing reads.
///
/// Errors  Error{kUsage} when the folder cannot be written, Error{kInternal} when the disk fills.
[[nodiscard]] std::string store_session(const Session& session, const std::string& logbook_dir);

/// As above, under a name of the caller's. Returns false when a file of that name is there already,
/// which is kept.
[[nodiscard]] bool store_session_at(const Session& session, const std::string& path);

/// Fingerprint of all that a session file would hold but the moment of the analysis: 64 hex digits.
/// Two runs over one recording with the same options have the same.
[[nodiscard]] std::string session_digest(const Session& session);

/// Throws Error{kUsage} unless store_session could write into the folder. Makes nothing.
void check_logbook_writable(const std::string& logbook_dir);

/// Reads a session back, equal to what was stored.
///
/// Errors  Error{kUnreadable} naming the file and what is wrong with it: missing, not a session
///         file, cut short or damaged, or written by a newer schema.
[[nodiscard]] Session load_session(const std::string& path);

/// The same without its frames: `disc`, `path` and `motion` are empty. Many can be held at once,
/// and reading one takes a fraction of the time.
[[nodiscard]] Session load_session_summary(const std::string& path);

}  // namespace kinetics
