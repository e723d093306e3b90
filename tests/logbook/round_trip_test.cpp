// A session read back is the session stored: every field, to the last bit. The comparison is
// written out here, apart from the schema that the library reads and writes with.
#include <filesystem>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/session/rep_quantities.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::random_session;

namespace {

void check_same(const ClipInfo& a, const ClipInfo& b) {
  CHECK(a.path == b.path);
  CHECK(a.container == b.container);
  CHECK(a.codec == b.codec);
  CHECK(a.width_px == b.width_px);
  CHECK(a.height_px == b.height_px);
  CHECK(a.pixel_aspect == b.pixel_aspect);
  CHECK(a.rotation_deg == b.rotation_deg);
  CHECK(a.mirrored == b.mirrored);
  CHECK(a.bit_depth == b.bit_depth);
  CHECK(a.frame_rate_hz == b.frame_rate_hz);
  CHECK(a.duration_s == b.duration_s);
  CHECK(a.slow_motion_factor == b.slow_motion_factor);
  CHECK(a.readout == b.readout);
  CHECK(a.recorded_at == b.recorded_at);
}

void check_same(const std::optional<LogInfo>& a, const std::optional<LogInfo>& b) {
  REQUIRE(a.has_value() == b.has_value());
  if (!a) return;
  CHECK(a->name == b->name);
  CHECK(a->sha256 == b->sha256);
  CHECK(a->holds_positions == b->holds_positions);
  CHECK(a->has_gyroscope == b->has_gyroscope);
  CHECK(a->rate_hz == b->rate_hz);
  CHECK(a->rows == b->rows);
  CHECK(a->started_unix_s == b->started_unix_s);
  CHECK(a->offset_s == b->offset_s);
  CHECK(a->offset_sigma_s == b->offset_sigma_s);
  CHECK(a->skew == b->skew);
  CHECK(a->skew_sigma == b->skew_sigma);
  CHECK(a->agreement == b->agreement);
}

void check_same(const std::optional<BarLoad>& a, const std::optional<BarLoad>& b) {
  REQUIRE(a.has_value() == b.has_value());
  if (!a) return;
  CHECK(a->bar_kg == b->bar_kg);
  CHECK(a->discs_kg == b->discs_kg);
  CHECK(a->collars_kg == b->collars_kg);
  CHECK(a->straight_sigma_kg == b->straight_sigma_kg);
  CHECK(a->gravity_mps2 == b->gravity_mps2);
  CHECK(a->bar_name == b->bar_name);
  CHECK(a->discs_a_side == b->discs_a_side);
  REQUIRE(a->chains.size() == b->chains.size());
  for (std::size_t i = 0; i < a->chains.size(); ++i) {
    const Chain& c = a->chains[i];
    const Chain& d = b->chains[i];
    CHECK(c.name == d.name);
    CHECK(c.mass_kg_per_m == d.mass_kg_per_m);
    CHECK(c.mass_sigma_kg_per_m == d.mass_sigma_kg_per_m);
    CHECK(c.free_length_m == d.free_length_m);
    CHECK(c.doubled == d.doubled);
    CHECK(c.leader_length_m == d.leader_length_m);
    CHECK(c.leader_kg_per_m == d.leader_kg_per_m);
    CHECK(c.attachment_below_bar_m == d.attachment_below_bar_m);
    CHECK(c.strands == d.strands);
  }
  REQUIRE(a->bands.size() == b->bands.size());
  for (std::size_t i = 0; i < a->bands.size(); ++i) {
    const Band& c = a->bands[i];
    const Band& d = b->bands[i];
    CHECK(c.name == d.name);
    CHECK(c.tension.length_m_tension_n == d.tension.length_m_tension_n);
    CHECK(c.tension.polynomial_n == d.tension.polynomial_n);
    CHECK(c.tension.polynomial_covariance_n2 == d.tension.polynomial_covariance_n2);
    CHECK(c.tension.rest_length_m == d.tension.rest_length_m);
    CHECK(c.tension.tension_sigma_n == d.tension.tension_sigma_n);
    CHECK(c.tension.known_to_m == d.tension.known_to_m);
    CHECK(c.tension.known_from_m == d.tension.known_from_m);
    CHECK(c.tension.limit_length_m == d.tension.limit_length_m);
    CHECK(c.anchor_height_m == d.anchor_height_m);
    CHECK(c.anchor_offset_m == d.anchor_offset_m);
    CHECK(c.wrap_length_m == d.wrap_length_m);
    CHECK(c.doubled == d.doubled);
    CHECK(c.mass_kg == d.mass_kg);
    CHECK(c.count == d.count);
  }
}

void check_same(const AnalysisOptions& a, const AnalysisOptions& b) {
  check_same(a.loading.load, b.loading.load);
  CHECK(a.loading.bar_height_at_bottom_m == b.loading.bar_height_at_bottom_m);
  CHECK(a.loading.bar_height_at_lockout_m == b.loading.bar_height_at_lockout_m);
  CHECK(a.loading.height_sigma_m == b.loading.height_sigma_m);
  CHECK(a.clip.capture_rate_hz == b.clip.capture_rate_hz);
  CHECK(a.tracking.disc_diameter_m == b.tracking.disc_diameter_m);
  CHECK(a.tracking.disc_diameter_sigma_m == b.tracking.disc_diameter_sigma_m);
  REQUIRE(a.tracking.seed.has_value() == b.tracking.seed.has_value());
  if (a.tracking.seed) {
    CHECK(a.tracking.seed->at == b.tracking.seed->at);
    CHECK(a.tracking.seed->t_s == b.tracking.seed->t_s);
  }
  CHECK(a.tracking.camera_roll_rad == b.tracking.camera_roll_rad);
  CHECK(a.tracking.readout_s == b.tracking.readout_s);
  CHECK(a.motion.jerk_psd_m2ps5 == b.motion.jerk_psd_m2ps5);
  CHECK(a.motion.max_gap_s == b.motion.max_gap_s);
  CHECK(a.log.columns == b.log.columns);
  CHECK(a.log.units == b.log.units);
  CHECK(a.log.rate_hz == b.log.rate_hz);
  CHECK(a.strapdown.gravity_mps2 == b.strapdown.gravity_mps2);
  CHECK(a.reps.threshold_mps == b.reps.threshold_mps);
  CHECK(a.reps.min_rise_m == b.reps.min_rise_m);
  CHECK(a.reps.set_gap_s == b.reps.set_gap_s);
  CHECK(a.reps.slowed_loss == b.reps.slowed_loss);
  CHECK(a.thresholds == b.thresholds);
  CHECK(a.plan == b.plan);
}

bool same(const DiscSighting& a, const DiscSighting& b) {
  return a.frame == b.frame && a.t_s == b.t_s && a.sighting == b.sighting && a.centre == b.centre &&
         a.half_width_px == b.half_width_px && a.half_height_px == b.half_height_px &&
         a.tilt == b.tilt && a.sigma_x_px == b.sigma_x_px && a.sigma_y_px == b.sigma_y_px &&
         a.rim_seen == b.rim_seen && a.camera_shift == b.camera_shift;
}

bool same(const PathPoint& a, const PathPoint& b) {
  return a.t_s == b.t_s && a.x_m == b.x_m && a.y_m == b.y_m && a.sigma_x_m == b.sigma_x_m &&
         a.sigma_y_m == b.sigma_y_m && a.lasting_sigma_m == b.lasting_sigma_m && a.seen == b.seen;
}

bool same(const MotionSample& a, const MotionSample& b) {
  return a.t_s == b.t_s && a.x_m == b.x_m && a.height_m == b.height_m &&
         a.velocity_mps == b.velocity_mps && a.accel_mps2 == b.accel_mps2 &&
         a.height_sigma_m == b.height_sigma_m && a.lasting_sigma_m == b.lasting_sigma_m &&
         a.velocity_sigma_mps == b.velocity_sigma_mps && a.accel_sigma_mps2 == b.accel_sigma_mps2 &&
         a.measured == b.measured;
}

bool same(const Rep& a, const Rep& b) {
  bool all = a.set == b.set && a.number == b.number && a.kind == b.kind && a.start_s == b.start_s &&
             a.end_s == b.end_s && a.bottom_height_m == b.bottom_height_m &&
             a.top_height_m == b.top_height_m && a.flags == b.flags;
  for (const Quantity& q : kQuantities) all = all && a.*q.member == b.*q.member;
  return all;
}

template <typename Row>
void check_same(const std::vector<Row>& a, const std::vector<Row>& b) {
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (!same(a[i], b[i])) FAIL_CHECK("row " << i << " differs");
  }
}

void check_same(const Session& a, const Session& b) {
  check_same(a.clip, b.clip);
  check_same(a.log, b.log);
  check_same(a.options, b.options);
  check_same(a.disc.sightings, b.disc.sightings);
  check_same(a.path.points, b.path.points);
  CHECK(a.path.scale_sigma_rel == b.path.scale_sigma_rel);
  CHECK(a.path.shutter_sigma_s_per_m == b.path.shutter_sigma_s_per_m);
  CHECK(a.path.stamp_sigma_s == b.path.stamp_sigma_s);
  CHECK(a.path.slow_time_sigma_s == b.path.slow_time_sigma_s);
  CHECK(a.path.hold_sigma_m == b.path.hold_sigma_m);
  CHECK(a.path.alike_s == b.path.alike_s);
  check_same(a.motion.samples, b.motion.samples);
  CHECK(a.motion.jerk_psd_m2ps5 == b.motion.jerk_psd_m2ps5);
  CHECK(a.motion.noise_scale == b.motion.noise_scale);
  CHECK(a.motion.gaps_bridged == b.motion.gaps_bridged);
  CHECK(a.motion.scale_sigma_rel == b.motion.scale_sigma_rel);
  CHECK(a.motion.shutter_sigma_s_per_m == b.motion.shutter_sigma_s_per_m);
  CHECK(a.motion.stamp_sigma_s == b.motion.stamp_sigma_s);
  CHECK(a.motion.slow_time_sigma_s == b.motion.slow_time_sigma_s);
  CHECK(a.motion.hold_sigma_m == b.motion.hold_sigma_m);
  check_same(a.reps, b.reps);
  CHECK(a.findings == b.findings);
  CHECK(a.notes == b.notes);
  CHECK(a.provenance.program_version == b.provenance.program_version);
  CHECK(a.provenance.analysed_at == b.provenance.analysed_at);
  CHECK(a.provenance.source_name == b.provenance.source_name);
  CHECK(a.provenance.source_sha256 == b.provenance.source_sha256);
  CHECK(a.provenance.libraries == b.provenance.libraries);
  CHECK(a.provenance.held_on == b.provenance.held_on);
  CHECK(a.provenance.supersedes == b.provenance.supersedes);
  CHECK(a.corrections == b.corrections);
}

}  // namespace

TEST_CASE("a session read back equals the one stored", "[logbook]") {
  const auto seed = GENERATE(range(1U, 9U));
  CAPTURE(seed);
  const Folder folder;
  const Session session = random_session(seed);
  check_same(load_session(store_session(session, folder / "logbook")), session);
}

TEST_CASE("a session without reps, notes or frames is stored too", "[logbook]") {
  const Folder folder;
  Session session = random_session(1, 0, 0);
  session.notes.clear();
  check_same(load_session(store_session(session, folder / "logbook")), session);
}

TEST_CASE("a session longer than one chunk of the file is read back whole", "[logbook]") {
  const Folder folder;
  const Session session = random_session(3, 20'000, 3);
  check_same(load_session(store_session(session, folder / "logbook")), session);
}

TEST_CASE("a file's name tells the day, the time and the clip", "[logbook]") {
  const Folder folder;
  Session session = random_session(1, 10, 1);
  session.provenance.analysed_at = "2026-11-25T10:30:05Z";
  session.provenance.source_name = "../box squat,\n\"3\".mp4";
  const std::filesystem::path stored = store_session(session, folder / "logbook");
  CHECK(stored.parent_path() == folder / "logbook");
  CHECK(stored.filename() == "2026-11-25_103005_box_squat___3_.h5");
}
