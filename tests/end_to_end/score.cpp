#include "tests/end_to_end/score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

namespace accuracy {
namespace {

// Two phases are one repetition when they share at least this part of the longer of the two.
constexpr double kShared = 0.3;

double shared_part(const render::RepTruth& truth, const kinetics::Rep& rep) {
  const double both = std::min(truth.end_s, rep.end_s) - std::max(truth.start_s, rep.start_s);
  return both / std::max(truth.end_s - truth.start_s, rep.end_s - rep.start_s);
}

std::string line_for(const render::RepTruth& t, const kinetics::Rep& r) {
  char text[200];
  const auto diff = [](const kinetics::Measured& m, double truth) {
    return m.ok() ? m.value() - truth : std::nan("");
  };
  const auto sigma = [](const kinetics::Measured& m) { return m.ok() ? m.sigma() : std::nan(""); };
  std::snprintf(text,
                sizeof text,
                "  %7.3f s %-7s start %+.4f end %+.4f  mean %.4f %+.4f±%.4f  peak %.4f %+.4f±%.4f  "
                "rom %.4f %+.4f±%.4f",
                t.start_s,
                t.kind.c_str(),
                r.start_s - t.start_s,
                r.end_s - t.end_s,
                t.mean_velocity_mps,
                diff(r.mean_velocity_mps, t.mean_velocity_mps),
                sigma(r.mean_velocity_mps),
                t.peak_velocity_mps,
                diff(r.peak_velocity_mps, t.peak_velocity_mps),
                sigma(r.peak_velocity_mps),
                t.rom_m,
                diff(r.rom_m, t.rom_m),
                sigma(r.rom_m));
  return text;
}

std::string line_for(const char* what, double start_s, double end_s) {
  char text[100];
  std::snprintf(text, sizeof text, "  %7.3f s to %.3f s: %s", start_s, end_s, what);
  return text;
}

bool same_kind(const std::string& truth, kinetics::RepKind found) {
  switch (found) {
    case kinetics::RepKind::kFull:
      return truth == "full";
    case kinetics::RepKind::kPartial:
      return truth == "partial";
    case kinetics::RepKind::kFailed:
      return truth == "failed";
  }
  return false;
}

void compare_numbers(Score& score, const kinetics::Rep& rep, const render::RepTruth& truth) {
  const auto add = [](Errors& to, const kinetics::Measured& m, double is) {
    if (m.ok()) to.add(m.value(), is, m.lo(), m.hi());
  };
  if (!rep.mean_velocity_mps.ok()) ++score.not_measured;
  if (truth.kind != "full") return;
  add(score.mean_velocity, rep.mean_velocity_mps, truth.mean_velocity_mps);
  add(score.peak_velocity, rep.peak_velocity_mps, truth.peak_velocity_mps);
  add(score.rom, rep.rom_m, truth.rom_m);
}

void compare_centres(Score& score,
                     const kinetics::DiscTrack& disc,
                     const render::ClipTruth& truth) {
  for (const kinetics::DiscSighting& s : disc.sightings) {
    if (s.sighting != kinetics::Sighting::kSeen) continue;
    const auto index = static_cast<std::size_t>(s.frame);
    if (index >= truth.frames.size()) continue;
    const render::FrameTruth& is = truth.frames[index];
    score.centre_sum_px2 +=
        std::pow(s.centre.x_px - is.rim_centre.x, 2) + std::pow(s.centre.y_px - is.rim_centre.y, 2);
    ++score.centres;
  }
}

}  // namespace

void Errors::add(double measured, double truth, double lo, double hi) {
  values.push_back(measured - truth);
  covered += lo <= truth && truth <= hi;
}

void Errors::add(const Errors& more) {
  values.insert(values.end(), more.values.begin(), more.values.end());
  covered += more.covered;
}

double Errors::bias() const {
  if (values.empty()) return 0.0;
  return std::accumulate(values.begin(), values.end(), 0.0) / double(values.size());
}

double Errors::sd() const {
  if (values.size() < 2) return 0.0;
  const double mean = bias();
  double sum = 0.0;
  for (const double v : values) sum += (v - mean) * (v - mean);
  return std::sqrt(sum / double(values.size() - 1));
}

double Errors::widest() const {
  return std::max(std::abs(lower()), std::abs(upper()));
}

double Errors::coverage() const {
  return values.empty() ? 0.0 : double(covered) / double(values.size());
}

double Score::centre_rms_px() const {
  return centres == 0 ? 0.0 : std::sqrt(centre_sum_px2 / double(centres));
}

void Score::add(const Score& more) {
  truth_reps += more.truth_reps;
  found += more.found;
  missed += more.missed;
  invented += more.invented;
  mislabelled += more.mislabelled;
  not_measured += more.not_measured;
  mean_velocity.add(more.mean_velocity);
  peak_velocity.add(more.peak_velocity);
  rom.add(more.rom);
  centre_sum_px2 += more.centre_sum_px2;
  centres += more.centres;
  clip_s += more.clip_s;
  analysis_s += more.analysis_s;
}

Score compare(const std::string& name,
              const kinetics::Session& session,
              const render::ClipTruth& truth) {
  Score score;
  score.name = name;
  score.truth_reps = truth.reps.size();
  std::vector<bool> used(session.reps.size(), false);
  for (const render::RepTruth& is : truth.reps) {
    std::size_t best = session.reps.size();
    double most = kShared;
    for (std::size_t k = 0; k < session.reps.size(); ++k) {
      const double part = shared_part(is, session.reps[k]);
      if (!used[k] && part > most) most = part, best = k;
    }
    if (best == session.reps.size()) {
      ++score.missed;
      score.details.push_back(line_for(("missed, " + is.kind).c_str(), is.start_s, is.end_s));
      continue;
    }
    used[best] = true;
    const kinetics::Rep& rep = session.reps[best];
    ++score.found;
    score.mislabelled += !same_kind(is.kind, rep.kind);
    compare_numbers(score, rep, is);
    score.details.push_back(line_for(is, rep) +
                            (same_kind(is.kind, rep.kind) ? "" : "  taken for another kind"));
  }
  for (std::size_t k = 0; k < used.size(); ++k)
    if (!used[k]) {
      ++score.invented;
      score.details.push_back(line_for("invented", session.reps[k].start_s, session.reps[k].end_s));
    }
  compare_centres(score, session.disc, truth);
  return score;
}

}  // namespace accuracy
