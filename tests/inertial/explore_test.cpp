#include <cstdio>
#include <random>
#include <chrono>
#include <catch2/catch.hpp>
#include "libkinetics/inertial/estimate_log.h"
#include "libkinetics/inertial/fuse.h"
#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/reps.h"
#include "tests/inertial/logged.h"
#include "tests/inertial/simulated.h"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
using namespace kinetics;
using namespace kinetics_test;

namespace {
struct Draw {
  std::mt19937 r;
  double operator()(double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(r); }
};
const char* names[] = {"squat", "box", "bench", "tng", "dead", "grind", "speed"};
void add_rep(int kind, Draw& d, Lift& lift) {
  switch (kind) {
    case 0: lift.move(-0.6, d(1.0, 1.8)).rep(0.6, d(0.8, 1.6), d(0,1)<0.5?Shape::kMinimumJerk:Shape::kTwoHumps).sway(d(1.0, 2.0), 0.002, 0.8); return;
    case 1: lift.move(-0.5, d(1.0, 1.8)).sway(d(0.8, 3.0), 0.006, 0.7); lift.rep(0.5, d(0.6, 1.2)).sway(d(1.0, 2.0), 0.003, 0.7); return;
    case 2: lift.move(-0.35, d(1.0, 1.8)).rest(d(0.5, 1.2)); lift.rep(0.35, d(0.6, 1.5), d(0,1)<0.5?Shape::kMinimumJerk:Shape::kSlowLockout).rest(d(1.0, 2.0)); return;
    case 3: lift.move(-0.4, d(0.8, 1.2)).rep(0.4, d(0.5, 1.0)).rest(d(0.3, 0.8)); return;
    case 4: lift.rep(0.55, d(0.8, 2.5), d(0,1)<0.5?Shape::kMinimumJerk:Shape::kLateRush).sway(d(0.8, 1.5), 0.002, 1.0).move(-0.55, d(0.8, 1.2)).rest(d(0.5, 2.0)); return;
    case 5: lift.move(-0.45, 1.5).rep(0.45, d(2.0, 4.0), d(0,1)<0.5?Shape::kStall:Shape::kTwoHumps).rest(1.5); return;
    case 6: lift.move(-0.5, d(0.8, 1.2)).rest(d(0.1, 0.5)).rep(0.5, d(0.45, 0.7)); lift.rest(1.0); return;
  }
}
void run(double rate, bool gyro, bool stills, double noise = 0.0015, int spin = 0) {
  std::printf("== rate %.0f gyro %d stills %d spin %d\n", rate, gyro, stills, spin);
  double all_sum = 0, all_sq = 0; int all_n = 0, all_c = 0;
  for (int kind = 0; kind < 7; ++kind) {
    int truth_n = 0, found_n = 0, wrong_logs = 0, n = 0, cov = 0, rcov = 0; double sum = 0, sq = 0, rsq = 0, sig = 0;
    for (int seed = 0; seed < 12; ++seed) {
      Draw d{std::mt19937(static_cast<unsigned>(seed * 7 + kind))};
      Lift lift(1.0);
      if (stills) {
        lift.rest(3.0);
        if (kind != 4) lift.move(0.06, 0.6).sway(1.0, 0.004, 0.7).carry(0.0, 0.4, 1.5).sway(1.5, 0.002, 0.6);
      } else lift.sway(d(0.3, 1.0), 0.003, 0.6);
      for (int i = 0; i < 5; ++i) add_rep(kind, d, lift);
      if (stills) {
        if (kind != 4) lift.sway(1.0, 0.003, 0.7).carry(0.0, -0.4, 1.5).move(-0.06, 0.5);
        lift.rest(3.0);
      } else lift.sway(0.5, 0.003, 0.7);
      Logging l;
      l.rate_hz = rate; l.gyroscope = gyro; l.seed = static_cast<unsigned>(seed + 1);
      l.accel_noise_mps2_rthz = noise;
      l.accel_offset_mps2 = Eigen::Vector3d(d(-0.3, 0.3), d(-0.3, 0.3), d(-0.3, 0.3));
      l.accel_scale = Eigen::Vector3d(d(0.985, 1.015), d(0.985, 1.015), d(0.985, 1.015));
      l.rate_bias_radps = Eigen::Vector3d(d(-0.03, 0.03), d(-0.03, 0.03), d(-0.03, 0.03));
      l.rate_scale = d(0.99, 1.01);
      l.tremble_m = 0.00003;
      l.world_from_sensor = Eigen::Quaterniond(Eigen::AngleAxisd(d(0, 6), Eigen::Vector3d(d(-1, 1), d(-1, 1), d(-1, 1)).normalized()));
      double amp = d(0.0, 0.4); d(0.2,0.5);
      if (spin == 1) l.spin_rad = [=](double t) { return amp * (lift.height_m(t) - 1.0) / 0.5; };
      if (spin == 2) l.spin_rad = [=](double t) { return 8 * amp * (lift.height_m(t) - 1.0) / 0.5; };
      const auto truth = lift.truth();
      LogMotion m = estimate_log_motion(logged(lift, l));
      SetTable table = find_reps(m.motion);
      truth_n += 5; found_n += static_cast<int>(table.reps.size());
      if (table.reps.size() != 5) { ++wrong_logs;
        if (wrong_logs < 2) { std::printf("  [%s %d] found %zu:", names[kind], seed, table.reps.size()); for (auto& r : table.reps) std::printf(" (%.2f-%.2f rise %.2f)", r.start_s, r.end_s, r.top_height_m - r.bottom_height_m); std::printf("  truth:"); for (auto& t : truth) std::printf(" %.2f-%.2f", t.start_s, t.end_s); std::printf("\n"); } }
      for (auto& t : truth) for (auto& r : table.reps) {
        if (std::abs(0.5 * (r.start_s + r.end_s) - 0.5 * (t.start_s + t.end_s)) > 0.5 || !r.mean_velocity_mps) continue;
        const double e = r.mean_velocity_mps.value() - t.mean_mps;
        sum += e; sq += e * e; ++n; sig += r.mean_velocity_mps.sigma();
        if (std::abs(e) < 1.96 * r.mean_velocity_mps.sigma()) ++cov;
        if (std::getenv("KDETAIL") && names[kind] == std::string(std::getenv("KDETAIL"))) std::printf("   seed %d err %.3f sig %.3f start %+.3f (%.3f) end %+.3f rom %+.3f T %.2f  v(start truth) %.3f\n", seed, e, r.mean_velocity_mps.sigma(), r.start_s - t.start_s, r.concentric_s.sigma(), r.end_s - t.end_s, r.rom_m.value() - t.rom_m, t.end_s - t.start_s, state_at(m.motion, t.start_s).velocity_mps);
        const double re = r.rom_m.value() - t.rom_m; rsq += re * re;
        if (std::abs(re) < 1.96 * r.rom_m.sigma()) ++rcov;
      }
    }
    std::printf("%-6s found %d/%d wrong logs %d  n %d bias %.4f limits %.4f sig %.4f cov %.3f | rom rms %.4f cov %.3f\n", names[kind], found_n, truth_n, wrong_logs, n, sum / n, 1.96 * std::sqrt(sq / n - sum * sum / n / n), sig / n, double(cov) / n, std::sqrt(rsq / n), double(rcov) / n);
    all_sum += sum; all_sq += sq; all_n += n; all_c += cov;
  }
  std::printf("ALL bias %.4f limits %.4f cov %.3f\n", all_sum / all_n, 1.96 * std::sqrt(all_sq / all_n - all_sum * all_sum / all_n / all_n), double(all_c) / all_n);
}
}  // namespace

TEST_CASE("explore", "[.explore]") {
  if (std::getenv("KFIRST")) { run(100, true, true); return; }
  run(100, true, true);
  run(100, true, true, 0.0015, 1);
  run(100, true, true, 0.0015, 2);
  run(100, true, false, 0.0015, 1);
  run(25, false, true);
  run(12.5, false, false);
}

TEST_CASE("scenes", "[.scenes]") {
  const bool hard = std::getenv("KHARD") != nullptr;
  const int from = std::getenv("KFROM") ? std::atoi(std::getenv("KFROM")) : 0, to = std::getenv("KTO") ? std::atoi(std::getenv("KTO")) : 40;
  struct Acc { int n = 0, cov = 0, logs = 0, wrong = 0, truth = 0, found = 0; double s = 0, q = 0, sig = 0; std::vector<double> es; } acc[2];
  for (int seed = from; seed < to; ++seed) {
    const std::string path = "/tmp/strap/scene.json";
    std::ofstream(path) << simulate::random_log_scene(static_cast<std::uint64_t>(seed), hard);
    auto scene = render::read_scene(path);
    auto spec = simulate::read_sensor(path);
    auto sim = simulate::simulate_log(scene, spec);
    SensorLog log = read_rows(sim, spec);
    const auto t0 = std::chrono::steady_clock::now();
    LogMotion m = estimate_log_motion(log);
    SetTable table = find_reps(m.motion);
    const double took = std::chrono::duration<double>(std::chrono::steady_clock::now() - t0).count();
    if (std::getenv("KDUMP")) { double lo = std::atof(std::getenv("KDUMP")); for (auto& x : m.motion.samples) if (x.t_s > lo && x.t_s < lo + 2.5) std::printf("%.3f h %.4f v %.4f a %.3f sv %.4f\n", x.t_s, x.height_m, x.velocity_mps, x.accel_mps2, x.velocity_sigma_mps); }
    Acc& a = acc[spec.gyroscope];
    ++a.logs; a.truth += static_cast<int>(sim.truth.reps.size()); a.found += static_cast<int>(table.reps.size());
    const bool bad = table.reps.size() != sim.truth.reps.size();
    a.wrong += bad;
    double worst = 0;
    for (auto& t : sim.truth.reps) for (auto& r : table.reps) {
      if (std::abs(0.5 * (r.start_s + r.end_s) - 0.5 * (t.start_s + t.end_s)) > 0.5 || !r.mean_velocity_mps) continue;
      const double e = r.mean_velocity_mps.value() - t.mean_velocity_mps;
      worst = std::max(worst, std::abs(e));
      a.es.push_back(e); a.s += e; a.q += e * e; ++a.n; a.sig += r.mean_velocity_mps.sigma(); a.cov += std::abs(e) < 1.96 * r.mean_velocity_mps.sigma();
    }
    std::printf("%c seed %d rate %.0f gyro %d place %s lift %s handled %zu span %.0f still %.1f | truth %zu found %zu worst %.3f took %.2f clk pkt %d\n", bad ? '!' : ' ', seed, log.rate_hz, spec.gyroscope, spec.mount.place.c_str(), scene.motion.sets[0].lift.c_str(), spec.handled.size(), log.samples.back().t_s, m.facts.still_s, sim.truth.reps.size(), table.reps.size(), worst, took, spec.clock.rows_a_packet);
    if (bad || worst > 0.06) {
      std::printf("    truth:"); for (auto& t : sim.truth.reps) std::printf(" %.2f-%.2f %s (%.2fm %.3f)", t.start_s, t.end_s, t.kind.c_str(), t.rom_m, t.mean_velocity_mps);
      std::printf("\n    found:"); for (auto& r : table.reps) std::printf(" %.2f-%.2f (%.2fm %.3f+-%.3f)", r.start_s, r.end_s, r.top_height_m - r.bottom_height_m, r.mean_velocity_mps ? r.mean_velocity_mps.value() : 0.0, r.mean_velocity_mps ? r.mean_velocity_mps.sigma() : 0.0);
      std::printf("\n");
      for (auto& h : spec.handled) std::printf("    handled %.1f + %.1f rise %.2f first row %.2f\n", h.at_s - sim.truth.first_row_in_clip_s, h.length_s, h.rise_m, sim.truth.first_row_in_clip_s);
    }
  }
  for (int g = 0; g < 2; ++g) { auto& a = acc[g]; if (a.n == 0) continue; std::vector<double> ab; for (double e : a.es) ab.push_back(std::abs(e)); std::sort(ab.begin(), ab.end());
    std::printf("gyro %d: logs %d wrong %d truth %d found %d | n %d bias %.4f limits %.4f |e| med %.4f p95 %.4f sig %.4f cov %.3f\n", g, a.logs, a.wrong, a.truth, a.found, a.n, a.s / a.n, 1.96 * std::sqrt(a.q / a.n - a.s * a.s / a.n / a.n), ab[ab.size() / 2], ab[ab.size() * 95 / 100], a.sig / a.n, double(a.cov) / a.n); }
}

TEST_CASE("fusion", "[.fusion]") {
  struct Acc { double s = 0, q = 0, sig = 0; int n = 0, cov = 0, found = 0; void add(double e, double sg) { s += e; q += e * e; ++n; sig += sg; cov += std::abs(e) < 1.96 * sg; }
    void print(const char* name) { std::printf("%s n %d bias %.4f limits %.4f sig %.4f cov %.3f\n", name, n, s / n, 1.96 * std::sqrt(q / n - s * s / n / n), sig / n, double(cov) / n); } };
  for (int variant = 0; variant < 4; ++variant) { if (std::getenv("KV") && std::atoi(std::getenv("KV")) != variant) continue;
    Acc fused, clip, logs, off, skew; double offz = 0, skz = 0; int refused = 0, total = 0, wrongpair = 0, wrongn = 0; double worst_wrong = 0;
    std::vector<SensorLog> all_logs; std::vector<BarPath> paths;
    for (int kind = 0; kind < 7; ++kind) for (int seed = 0; seed < 6; ++seed) {
      Draw d{std::mt19937(static_cast<unsigned>(seed * 7 + kind + 1000))};
      Lift lift(1.0);
      lift.rest(3.0);
      if (kind != 4) lift.move(0.06, 0.6).sway(1.0, 0.004, 0.7).carry(0.0, 0.4, 1.5).sway(1.5, 0.002, 0.6);
      for (int i = 0; i < 5; ++i) add_rep(kind, d, lift);
      if (kind != 4) lift.sway(1.0, 0.003, 0.7).carry(0.0, -0.4, 1.5).move(-0.06, 0.5);
      lift.rest(3.0);
      Logging l; l.rate_hz = 100; l.seed = static_cast<unsigned>(seed + 1); l.gyroscope = variant != 2;
      if (variant == 2) l.rate_hz = 50;
      l.accel_offset_mps2 = Eigen::Vector3d(d(-0.3, 0.3), d(-0.3, 0.3), d(-0.3, 0.3));
      l.accel_scale = Eigen::Vector3d(d(0.985, 1.015), d(0.985, 1.015), d(0.985, 1.015));
      l.rate_bias_radps = Eigen::Vector3d(d(-0.03, 0.03), d(-0.03, 0.03), d(-0.03, 0.03));
      l.rate_scale = d(0.99, 1.01); l.tremble_m = 0.00003;
      l.world_from_sensor = Eigen::Quaterniond(Eigen::AngleAxisd(d(0, 6), Eigen::Vector3d(d(-1, 1), d(-1, 1), d(-1, 1)).normalized()));
      l.from_s = d(0.2, 2.0);
      const double ppm = d(-80, 80) * 1e-6;
      SensorLog log = logged(lift, l);
      for (auto& r : log.samples) r.t_s *= 1.0 / (1.0 + ppm);
      const auto truth = lift.truth();
      const double scale = 1.0 + d(-0.004, 0.004);
      Filming f; f.rate_hz = 60; f.sigma_m = 0.0007; f.seed = static_cast<unsigned>(seed + 77); f.scale = scale;
      if (variant == 1) for (auto& t : truth) f.hidden.push_back({t.start_s + 0.1, t.start_s + 0.6});
      BarPath path = filmed(lift, f);
      path.scale_sigma_rel = 0.0025; 
      all_logs.push_back(log); paths.push_back(path);
      ++total;
      try {
        FusedMotion m = fuse(path, log);
        if (std::getenv("KF")) { std::printf("agree %.3f off %.3f\n", m.clock.agreement, m.sightings_off); }
        const double oe = m.clock.offset_s.value() - l.from_s, se = m.clock.skew.value() - ppm;
        off.add(oe, m.clock.offset_s.sigma()); skew.add(se * 1e6, m.clock.skew.sigma() * 1e6);
        auto grade = [&](const Motion& mo, Acc& a) {
          SetTable t = find_reps(mo); a.found += static_cast<int>(t.reps.size());
          for (auto& tr : truth) for (auto& r : t.reps) {
            if (std::abs(0.5 * (r.start_s + r.end_s) - 0.5 * (tr.start_s + tr.end_s)) > 0.5 || !r.mean_velocity_mps) continue;
            if (std::getenv("KF") && &a == &fused && seed == 0) std::printf("%s st %+.4f en %+.4f rom %+.4f T %.2f e %+.4f ls %.4f as %.4f truescale %.4f sv %.4f\n", names[kind], r.start_s - tr.start_s, r.end_s - tr.end_s, r.rom_m.value() - tr.rom_m, tr.end_s - tr.start_s, r.mean_velocity_mps.value() - tr.mean_mps, m.length_scale.value(), m.accel_scale.value(), scale, state_at(mo, tr.start_s).velocity_sigma_mps);
            a.add(r.mean_velocity_mps.value() - tr.mean_mps, r.mean_velocity_mps.sigma());
          }
        };
        grade(m.motion, fused); grade(estimate_motion(path), clip);
        Motion lm = estimate_log_motion(log).motion; for (auto& x : lm.samples) x.t_s += l.from_s; grade(lm, logs);
      } catch (const Error& e) { ++refused; std::printf("%s %d refused: %s\n", names[kind], seed, e.what()); }
    }
    for (std::size_t i = 0; i < paths.size(); ++i) {
      const std::size_t j = (i / 6) * 6 + (i + 1) % 6;
      ++wrongn;
      try { auto w = fuse(paths[i], all_logs[j]); worst_wrong = std::max(worst_wrong, w.clock.agreement); std::printf("WRONG agree %.3f off %.3f\n", w.clock.agreement, w.sightings_off); ++wrongpair; } catch (const Error& e) { if (i % 12 == 0) std::printf("ok: %s\n", e.what()); }
    }
    std::printf("== variant %d refused %d/%d found f %d c %d l %d; wrong pairs accepted %d/%d (best %.3f)\n", variant, refused, total, fused.found, clip.found, logs.found, wrongpair, wrongn, worst_wrong);
    fused.print("fused"); clip.print("clip "); logs.print("log  "); off.print("offset"); skew.print("skew ppm"); (void)offz; (void)skz;
  }
}

TEST_CASE("fuse1", "[.fuse1]") {
  for (int mode = 0; mode < 4; ++mode) {
    Draw d{std::mt19937(5)};
    Lift lift(1.0);
    lift.rest(3.0);
    for (int i = 0; i < 5; ++i) add_rep(2, d, lift);
    lift.rest(3.0);
    Logging l; l.rate_hz = 100; l.sway_m = 0;
    if (mode == 1) l.tremble_m = 0.00003;
    if (mode == 3) l.accel_scale = Eigen::Vector3d(0.99, 0.99, 0.99);
    Filming f; f.sigma_m = mode == 2 ? 0.0007 : 0.0001;
    BarPath path = filmed(lift, f);
    path.scale_sigma_rel = 0.0025;
    FusedMotion m = fuse(path, logged(lift, l));
    std::printf("mode %d ls %.5f +- %.5f as %.5f +- %.5f off %.5f +- %.5f skew %.1f  fs %.4f fo %.4f %.4f %.4f\n", mode, m.length_scale.value(), m.length_scale.sigma(), m.accel_scale.value(), m.accel_scale.sigma(), m.clock.offset_s.value(), m.clock.offset_s.sigma(), m.clock.skew.value() * 1e6, m.facts.scale, m.facts.accel_offset_mps2[0], m.facts.accel_offset_mps2[1], m.facts.accel_offset_mps2[2]);
  }
}
