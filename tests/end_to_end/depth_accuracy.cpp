// depth_accuracy: forces, power and sticking regions measured from rendered clips, against the
// exact motion they were rendered from. Every lifter here moves 100 kg and two strands of 3.8 kg/m
// chain. With --check it fails unless the energy balance and the coverage hold.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <map>
#include <random>
#include <sstream>

#include <CLI/CLI.hpp>

#include "libkinetics/session/analyse.h"
#include "libkinetics/session/rep_loading.h"
#include "samples/render/script.h"
#include "tests/end_to_end/clips.h"
#include "tests/end_to_end/score.h"

namespace {

namespace fs = std::filesystem;

constexpr double kG = 9.80665;
constexpr double kStraight_kg = 100.0;
constexpr double kChain_kg_per_m = 7.6;
constexpr int kSteps = 4000;

struct Truth {
  std::map<std::string, double> of;  ///< by the same names as in `tally`
  bool dip = false;
};

double mass_kg(double height_m) {
  return kStraight_kg + kChain_kg_per_m * height_m;
}

Truth truth_of(const render::Curve& height, const render::RepTruth& rep) {
  Truth out;
  auto& f = out.of;
  const double dt = (rep.end_s - rep.start_s) / kSteps;
  bool braked = false;
  double propulsive_s = 0.0;
  std::vector<double> turns;
  double before = 0.0;
  bool rising = true;
  for (int i = 0; i < kSteps; ++i) {
    const double t = rep.start_s + (i + 0.5) * dt;
    const render::Jet h = height.at(t);
    const double v = std::max(h.rate, 0.0);
    const double force = mass_kg(h.value) * (kG + h.accel) + kChain_kg_per_m * v * v;
    f["work"] += force * h.rate * dt;
    f["impulse"] += force * dt;
    f["peak force"] = std::max(f["peak force"], force);
    f["peak power"] = std::max(f["peak power"], force * h.rate);
    braked = braked || h.accel < -kG;
    if (!braked) {
      f["propulsive impulse"] += force * dt;
      f["propulsive power"] += force * h.rate * dt;
      propulsive_s += dt;
    }
    if (i > 0 && (h.rate > before) != rising) {
      turns.push_back(t - dt);
      rising = !rising;
    }
    before = h.rate;
  }
  const double lasts = rep.end_s - rep.start_s;
  f["mean force"] = f["impulse"] / lasts;
  f["mean power"] = f["work"] / lasts;
  f["propulsive force"] = f["propulsive impulse"] / propulsive_s;
  f["propulsive power"] /= propulsive_s;
  // Dips of less than 0.02 m/s are not meant to be called a sticking region.
  if (turns.size() >= 3) {
    const double deep =
        std::min(height.at(turns[0]).rate, height.at(turns[2]).rate) - height.at(turns[1]).rate;
    out.dip = deep >= 0.02;
    const double from = height.at(rep.start_s).value;
    const double rom = height.at(rep.end_s).value - from;
    const std::array names{"first peak height", "low height", "second peak height"};
    for (std::size_t k = 0; k < 3; ++k) f[names[k]] = (height.at(turns[k]).value - from) / rom;
  }
  return out;
}

struct Found {
  std::map<std::string, accuracy::Errors> tally;
  accuracy::Errors balance;  ///< share by which the work misses the change of potential energy
  std::size_t dips = 0, dips_found = 0, dips_unsure = 0, smooth = 0, invented = 0;
};

void compare(const kinetics::Rep& rep,
             const render::Curve& height,
             const render::RepTruth& rep_truth,
             Found& found) {
  const Truth truth = truth_of(height, rep_truth);
  std::vector<std::pair<std::string, kinetics::Measured>> measured{
      {"work", rep.work_j},
      {"impulse", rep.impulse_ns},
      {"mean force", rep.mean_force_n},
      {"peak force", rep.peak_force_n},
      {"mean power", rep.mean_power_w},
      {"peak power", rep.peak_power_w},
      {"propulsive force", rep.propulsive_force_n},
      {"propulsive power", rep.propulsive_power_w},
      {"propulsive impulse", rep.propulsive_impulse_ns}};
  const bool sticks = rep.sticking_low_height.ok();
  if (truth.dip) {
    ++found.dips;
    found.dips_found += sticks ? 1 : 0;
    found.dips_unsure +=
        !sticks && rep.sticking_low_height.reason() == kinetics::Reason::kWithinNoise ? 1 : 0;
    measured.emplace_back("first peak height", rep.sticking_from_height);
    measured.emplace_back("low height", rep.sticking_low_height);
    measured.emplace_back("second peak height", rep.second_peak_height);
  } else {
    ++found.smooth;
    found.invented += sticks ? 1 : 0;
  }
  for (const auto& [name, m] : measured) {
    if (m.ok()) found.tally[name].add(m.value(), truth.of.at(name), m.lo(), m.hi());
  }
  const double from = height.at(rep_truth.start_s).value;
  const double to = height.at(rep_truth.end_s).value;
  const double change =
      kG * (kStraight_kg * (to - from) + 0.5 * kChain_kg_per_m * (to * to - from * from));
  if (rep.work_j.ok()) found.balance.add(rep.work_j.value() / change, 1.0, 0.99, 1.01);
}

void measure(const accuracy::MadeClip& clip, Found& found) {
  const render::BarMotion bar = render::script_motion(clip.scene.motion, clip.scene.seed);
  kinetics::AnalysisOptions options = clip.options;
  options.loading.load =
      kinetics::BarLoad{.bar_kg = 20.0,
                        .discs_kg = kStraight_kg - 20.0,
                        .chains = {{.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 9.0}}};
  std::vector<double> bottoms;
  for (const render::RepTruth& r : clip.truth.reps) {
    if (r.kind == "full") bottoms.push_back(bar.height.at(r.start_s).value);
  }
  if (bottoms.empty()) return;
  std::nth_element(bottoms.begin(),
                   bottoms.begin() + static_cast<std::ptrdiff_t>(bottoms.size() / 2),
                   bottoms.end());
  // As a tape would tell it, to a centimetre.
  std::mt19937_64 tape(clip.scene.seed);
  options.loading.bar_height_at_bottom_m =
      bottoms[bottoms.size() / 2] + std::normal_distribution(0.0, 0.01)(tape);
  const kinetics::Session session = kinetics::analyse_clip(clip.file.string(), options);
  for (const render::RepTruth& truth : clip.truth.reps) {
    if (truth.kind != "full") continue;
    const double middle_s = 0.5 * (truth.start_s + truth.end_s);
    for (const kinetics::Rep& rep : session.reps) {
      if (rep.start_s < middle_s && middle_s < rep.end_s) compare(rep, bar.height, truth, found);
    }
  }
}

bool print(const Found& found) {
  bool good = true;
  for (const auto& [name, e] : found.tally) {
    std::printf("%-20s n %4zu  %+9.3f ± %9.3f  %3.0f %%\n",
                name.c_str(),
                e.values.size(),
                e.bias(),
                1.96 * e.sd(),
                100.0 * e.coverage());
    good = good && e.coverage() >= 0.90;
  }
  std::printf(
      "work over change of potential energy: %+.2f ± %.2f %%, %.0f %% of reps within 1 %%\n",
      100.0 * found.balance.bias(),
      196.0 * found.balance.sd(),
      100.0 * found.balance.coverage());
  std::printf("sticking regions: %zu of %zu found, %zu within noise; %zu invented in %zu others\n",
              found.dips_found,
              found.dips,
              found.dips_unsure,
              found.invented,
              found.smooth);
  return good && found.balance.coverage() >= 0.95 && found.invented * 20 <= found.smooth;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Measures forces and sticking regions of rendered clips against the exact motion."};
  std::string scenes = KINETICS_SOURCE_DIR "/tests/end_to_end/scenes";
  std::string cache = KINETICS_BUILD_DIR "/accuracy_clips";
  bool check = false;
  app.add_option("--scenes", scenes, "folder of scene files")->check(CLI::ExistingDirectory);
  app.add_option("--cache", cache, "folder to keep rendered clips in");
  app.add_flag("--check", check, "fail unless the targets hold");
  CLI11_PARSE(app, argc, argv);
  std::vector<fs::path> files;
  for (const fs::directory_entry& file : fs::directory_iterator(scenes)) {
    if (file.path().extension() == ".json") files.push_back(file.path());
  }
  std::sort(files.begin(), files.end());
  Found found;
  for (const fs::path& file : files) {
    std::ostringstream text;
    text << std::ifstream(file).rdbuf();
    try {
      measure(accuracy::make_clip(file.stem().string(), text.str(), cache), found);
    } catch (const std::exception& e) {
      std::cerr << file.stem().string() << ": " << e.what() << '\n';
    }
  }
  const bool good = print(found);
  return check && !good ? 1 : 0;
}
