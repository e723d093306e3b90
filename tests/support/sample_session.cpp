#include "tests/support/sample_session.h"

#include <array>
#include <random>
#include <string>

#include "libkinetics/session/rep_quantities.h"

namespace kinetics_test {
namespace {

using namespace kinetics;

class Draw {
 public:
  explicit Draw(std::uint32_t seed) : engine_(seed) {}
  double number() { return std::uniform_real_distribution<double>(-2.0, 2.0)(engine_); }
  double positive() { return std::uniform_real_distribution<double>(0.001, 0.9)(engine_); }
  int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(engine_); }
  bool coin() { return below(2) == 1; }

 private:
  std::mt19937 engine_;
};

Measured measured(Draw& draw) {
  constexpr std::array kReasons{Reason::kDiscHidden,
                                Reason::kTooFewFrames,
                                Reason::kOutsideClip,
                                Reason::kNoReadings,
                                Reason::kNotApplicable};
  if (draw.below(3) == 0) return kReasons[static_cast<std::size_t>(draw.below(5))];
  return {draw.positive(), 0.1 * draw.positive()};
}

Rep rep(Draw& draw, std::size_t i, std::size_t count) {
  constexpr std::array kKinds{RepKind::kFull, RepKind::kPartial, RepKind::kFailed};
  constexpr std::array kFlags{FlagKind::kNotMeasured,
                              FlagKind::kFailed,
                              FlagKind::kSlowed,
                              FlagKind::kMaybeSlowed,
                              FlagKind::kPartial};
  Rep out;
  out.set = 2 * i < count ? 1 : 2;
  out.number = static_cast<int>(i) + 1;
  out.kind = kKinds[i % 3];
  out.start_s = 2.0 * static_cast<double>(i) + draw.positive();
  out.end_s = out.start_s + draw.positive();
  out.bottom_height_m = draw.number();
  out.top_height_m = draw.number();
  for (const Quantity& q : kQuantities) out.*q.member = measured(draw);
  for (const FlagKind flag : kFlags) {
    if (draw.below(3) == 0) out.flags.push_back(flag);
  }
  return out;
}

LogInfo log_info(Draw& draw) {
  LogInfo out{.name = "box squat, collar.csv",
              .sha256 = std::string(64, 'a'),
              .holds_positions = draw.coin(),
              .has_gyroscope = draw.coin(),
              .rate_hz = 100.0 * draw.positive(),
              .rows = 10 + draw.below(100000),
              .started_unix_s = draw.coin() ? 1.79e9 : 0.0};
  if (draw.coin()) {
    out.offset_s = draw.number();
    out.offset_sigma_s = draw.positive();
    out.skew = 1e-5 * draw.number();
    out.skew_sigma = 1e-5 * draw.positive();
    out.agreement = draw.positive();
  }
  return out;
}

SetPlan plan(Draw& draw) {
  SetPlan out{.sheet = "speed day.csv",
              .row = 2 + draw.below(30),
              .lifter = "Odalys Brandt",
              .lift = "box squat",
              .bar = "cambered bar",
              .stated_load_kg = 100.0 * draw.positive(),
              .unit = draw.coin() ? MassUnit::kPound : MassUnit::kKilogram,
              .start = "17:05",
              .notes = "slow, \"then\" fast"};
  if (draw.coin()) out.box_height_m = draw.positive();
  if (draw.coin()) out.set = 1 + draw.below(12);
  if (draw.coin()) out.planned_reps = 1 + draw.below(12);
  if (draw.coin()) out.best_single_kg = 200.0 * draw.positive();
  if (draw.coin()) out.accommodating = "2 x heavy chain";
  for (int k = draw.below(4); k > 0; --k) {
    out.expected.push_back({.load_kg = 100.0 * draw.positive(),
                            .velocity_mps = draw.positive(),
                            .sigma_mps = draw.positive()});
  }
  if (draw.coin()) out.limits.push_back({.of = "rack one", .limit_kg = 450.0});
  return out;
}

BarLoad bar_load(Draw& draw) {
  BarLoad out{.bar_kg = 20.0 * draw.positive(),
              .discs_kg = 200.0 * draw.positive(),
              .collars_kg = 5.0 * draw.positive(),
              .straight_sigma_kg = draw.positive(),
              .bar_name = draw.coin() ? "safety bar" : "",
              .gravity_mps2 = 9.8 + 0.01 * draw.number()};
  for (int i = draw.below(3); i > 0; --i) {
    const double mass = 45.0 * draw.positive();
    out.discs_a_side.push_back(
        {draw.coin() ? Mass::pounds(mass) : Mass::kilograms(mass), 1 + draw.below(3)});
  }
  for (int i = draw.below(3); i > 0; --i) {
    out.chains.push_back({.name = "chain \"13 mm\"",
                          .mass_kg_per_m = draw.positive(),
                          .mass_sigma_kg_per_m = draw.positive(),
                          .free_length_m = draw.positive(),
                          .doubled = draw.coin(),
                          .leader_length_m = draw.positive(),
                          .leader_kg_per_m = draw.positive(),
                          .attachment_below_bar_m = draw.positive(),
                          .strands = draw.below(5)});
  }
  for (int i = draw.below(3); i > 0; --i) {
    Band band{.name = "green",
              .anchor_height_m = draw.positive(),
              .anchor_offset_m = draw.positive(),
              .wrap_length_m = draw.positive(),
              .doubled = draw.coin(),
              .mass_kg = draw.positive(),
              .count = draw.below(5)};
    for (int k = draw.below(4); k > 0; --k) {
      band.tension.length_m_tension_n.emplace_back(draw.positive(), draw.positive());
    }
    for (int k = draw.below(4); k > 0; --k) band.tension.polynomial_n.push_back(draw.number());
    for (int k = draw.below(4); k > 0; --k) {
      band.tension.polynomial_covariance_n2.push_back(draw.number());
    }
    band.tension.rest_length_m = draw.positive();
    band.tension.tension_sigma_n = draw.positive();
    band.tension.known_to_m = draw.positive();
    band.tension.known_from_m = draw.positive();
    band.tension.limit_length_m = draw.positive();
    out.bands.push_back(band);
  }
  return out;
}

LoadingChoice loading(Draw& draw) {
  LoadingChoice out;
  if (draw.coin()) out.load = bar_load(draw);
  if (draw.coin()) out.bar_height_at_bottom_m = draw.positive();
  if (draw.coin()) out.bar_height_at_lockout_m = draw.positive();
  out.height_sigma_m = draw.positive();
  return out;
}

AnalysisOptions options(Draw& draw) {
  AnalysisOptions out;
  if (draw.coin()) out.clip.capture_rate_hz = 240.0 * draw.positive();
  out.tracking.disc_diameter_m = draw.positive();
  out.tracking.disc_diameter_sigma_m = draw.positive();
  if (draw.coin()) out.tracking.seed = DiscSeed{{draw.number(), draw.number()}, draw.positive()};
  if (draw.coin()) out.log.columns = "t,ax,ay,az";
  if (draw.coin()) out.log.units = "g,deg/s";
  if (draw.coin()) out.log.rate_hz = 100.0 * draw.positive();
  out.strapdown.gravity_mps2 = 9.8 + 0.01 * draw.number();
  if (draw.coin()) out.tracking.camera_roll_rad = draw.number();
  if (draw.coin()) out.tracking.readout_s = draw.positive();
  if (draw.coin()) out.motion.jerk_psd_m2ps5 = draw.positive();
  out.motion.max_gap_s = draw.positive();
  out.reps = {.threshold_mps = draw.positive(),
              .min_rise_m = draw.positive(),
              .set_gap_s = draw.positive(),
              .slowed_loss = draw.positive()};
  out.thresholds = {.below_expected_mps = draw.positive(),
                    .high_bottom_m = draw.positive(),
                    .uneven_pause_s = draw.positive()};
  if (draw.coin()) out.thresholds.zone = VelocityBand{draw.positive(), 1.0 + draw.positive()};
  if (draw.coin()) out.plan = plan(draw);
  out.loading = loading(draw);
  return out;
}

Findings findings(Draw& draw, const std::vector<Rep>& reps) {
  Findings out;
  for (const Rep& rep : reps) {
    if (draw.coin()) continue;
    out.push_back({.set = rep.set,
                   .rep = rep.number,
                   .kind = static_cast<FindingKind>(draw.below(7)),
                   .certainty = static_cast<Certainty>(draw.below(3)),
                   .evidence = "0.550 ± 0.012 m/s, \"31 ± 2 %\" below; the limit is 20 %"});
  }
  return out;
}

void fill_frames(Session& session, Draw& draw, std::size_t frames) {
  for (std::size_t i = 0; i < frames; ++i) {
    const double t_s = static_cast<double>(i) / 59.94;
    DiscSighting sighting;
    sighting.frame = static_cast<std::int64_t>(i);
    sighting.t_s = t_s;
    sighting.sighting = static_cast<Sighting>(draw.below(3));
    sighting.centre = {draw.number(), draw.number()};
    sighting.half_width_px = draw.number();
    sighting.half_height_px = draw.number();
    sighting.tilt = draw.number();
    sighting.sigma_x_px = draw.number();
    sighting.sigma_y_px = draw.number();
    sighting.rim_seen = draw.number();
    sighting.camera_shift = {draw.number(), draw.number()};
    session.disc.sightings.push_back(sighting);

    PathPoint point;
    point.t_s = t_s;
    point.x_m = draw.number();
    point.y_m = draw.number();
    point.sigma_x_m = draw.positive();
    point.sigma_y_m = draw.positive();
    point.lasting_sigma_m = draw.positive();
    point.seen = draw.coin();
    session.path.points.push_back(point);

    MotionSample sample;
    sample.t_s = t_s;
    sample.x_m = draw.number();
    sample.height_m = draw.number();
    sample.velocity_mps = draw.number();
    sample.accel_mps2 = draw.number();
    sample.height_sigma_m = draw.positive();
    sample.lasting_sigma_m = draw.positive();
    sample.velocity_sigma_mps = draw.positive();
    sample.accel_sigma_mps2 = draw.positive();
    sample.measured = draw.coin();
    session.motion.samples.push_back(sample);
  }
}

}  // namespace

Session random_session(std::uint32_t seed, std::size_t frames, std::size_t reps) {
  Draw draw(seed);
  Session session;
  session.clip = {.path = "/clips/tuesday/box squat.mp4",
                  .container = "mov,mp4",
                  .codec = "h264",
                  .width_px = 1080,
                  .height_px = 1920,
                  .pixel_aspect = 1.0 + 0.1 * draw.positive(),
                  .rotation_deg = 270,
                  .mirrored = draw.coin(),
                  .bit_depth = 10,
                  .frame_rate_hz = 59.94,
                  .duration_s = std::nullopt,
                  .slow_motion_factor = 8.0,
                  .readout = static_cast<ReadoutDirection>(draw.below(4)),
                  .recorded_at = "2026-11-25T10:05:00.000000Z"};
  if (draw.coin()) session.clip.duration_s = 8.0 * draw.positive();
  if (draw.coin()) session.log = log_info(draw);
  session.options = options(draw);
  fill_frames(session, draw, frames);
  session.path.scale_sigma_rel = draw.positive();
  session.path.shutter_sigma_s_per_m = draw.positive();
  session.path.stamp_sigma_s = draw.positive();
  session.path.slow_time_sigma_s = draw.positive();
  session.path.hold_sigma_m = draw.positive();
  session.path.alike_s = draw.positive();
  session.motion.jerk_psd_m2ps5 = draw.positive();
  session.motion.noise_scale = draw.positive();
  session.motion.gaps_bridged = static_cast<std::size_t>(draw.below(100));
  session.motion.scale_sigma_rel = draw.positive();
  session.motion.shutter_sigma_s_per_m = draw.positive();
  session.motion.stamp_sigma_s = draw.positive();
  session.motion.slow_time_sigma_s = draw.positive();
  session.motion.hold_sigma_m = draw.positive();
  for (std::size_t i = 0; i < reps; ++i) session.reps.push_back(rep(draw, i, reps));
  session.findings = findings(draw, session.reps);
  session.notes = {{NoteKind::kCaution, "The disc was hidden from 4.10 s to 4.50 s."},
                   {NoteKind::kDecision, "Größe: 450 mm, \"as given\" & <kept>."}};
  session.provenance = {.program_version = "0.1.0",
                        .analysed_at = "2026-11-25T10:30:00Z",
                        .source_name = "box squat.mp4",
                        .source_sha256 = std::string(64, 'a'),
                        .libraries = "FFmpeg 5.1, OpenCV 4.6",
                        .held_on = "2026-11-25",
                        .supersedes = draw.coin() ? "2026-11-25_100000_box_squat.h5" : ""};
  if (draw.coin()) {
    session.corrections = {
        {"2026-11-25T11:00:00Z", "a.h5", "load", "90 kg", "92.5 kg", "The load is 92.5 kg."},
        {"2026-11-26T11:00:00Z", "a-2.h5", "rep excluded", "rep 3, größer", ""}};
  }
  return session;
}

Session lifted_session(std::uint32_t seed) {
  constexpr std::array kLifters{"Odalys Brandt", "Imre Castellan", "Wenna Duarte"};
  constexpr std::array kLifts{"box squat", "paused bench", "deadlift"};
  Draw draw(seed);
  Session session = random_session(seed, 20, 4);
  SetPlan& set = session.options.plan.emplace(plan(draw));
  set.stated_load_kg = 50.0 + 100.0 * draw.positive();
  if (set.box_height_m) set.box_height_m = 0.3 + 0.2 * draw.positive();
  set.lifter = kLifters[seed % kLifters.size()];
  set.lift = kLifts[(seed / 3) % kLifts.size()];
  for (Rep& rep : session.reps) {
    rep.number = (rep.number - 1) % 2 + 1;
    rep.kind = RepKind::kFull;
    rep.mean_velocity_mps = Measured(0.3 + 0.5 * draw.positive(), 0.01);
  }
  session.provenance.supersedes = "";
  session.corrections.clear();
  session.provenance.held_on = "2031-03-0" + std::to_string(6 + seed % 4);
  session.provenance.source_sha256 = std::to_string(seed) + std::string(60, 'c');
  return session;
}

}  // namespace kinetics_test
