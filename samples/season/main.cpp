#include <chrono>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <iostream>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "samples/render/dice.h"

// simulate_season SEASON.json OUT.csv TRUTH.json: what a club measured over a wave and a half, as
// the logbook imports it, and what was true. Shares no code with libkinetics: it is a test
// instrument.

namespace {

using Json = nlohmann::ordered_json;
using Day = std::chrono::sys_days;

Day day_of(const std::string& iso) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  if (std::sscanf(iso.c_str(), "%d-%u-%u", &year, &month, &day) != 3) {
    throw std::runtime_error(iso + ": not a day");
  }
  return Day{std::chrono::year{year} / std::chrono::month{month} / std::chrono::day{day}};
}

std::string iso_of(Day day) {
  const std::chrono::year_month_day date{day};
  return fmt::format(
      "{:04}-{:02}-{:02}", int(date.year()), unsigned(date.month()), unsigned(date.day()));
}

/// Bar, two collars and pairs of discs from 1.25 kg on make every multiple of 2.5 kg; a half goes
/// down.
double hung_kg(double wanted_kg) {
  return 2.5 * std::ceil(wanted_kg / 2.5 - 0.5 - 1e-9);
}

/// Links off the floor with the bar at a height, all strands.
double chain_kg(const Json& chain, double bar_height_m) {
  const double off_floor_m =
      std::min(double(chain["length_m"]), std::max(0.0, bar_height_m - double(chain["leader_m"])));
  return double(chain["strands"]) * double(chain["mass_kg_per_m"]) * off_floor_m;
}

/// Its mean over the lift, by Simpson's rule in small steps.
double mean_chain_kg(const Json& chain, double bottom_m, double top_m) {
  constexpr int kSteps = 2000;
  double sum = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double weight = i == 0 || i == kSteps ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    sum += weight * chain_kg(chain, bottom_m + (top_m - bottom_m) * i / kSteps);
  }
  return sum / (3.0 * kSteps);
}

struct Loads {
  double bar_kg = 0.0;
  double bottom_kg = 0.0;
  double mean_kg = 0.0;
  double top_kg = 0.0;
};

Loads loads_of(const Json& lifter, double bar_kg, const Json* chain) {
  if (chain == nullptr) return {bar_kg, bar_kg, bar_kg, bar_kg};
  const double top_m = lifter["lockout_height_m"];
  const double bottom_m = top_m - double(lifter["range_m"]);
  return {bar_kg,
          bar_kg + chain_kg(*chain, bottom_m),
          bar_kg + mean_chain_kg(*chain, bottom_m, top_m),
          bar_kg + chain_kg(*chain, top_m)};
}

/// The lifter's line: velocity at the best single, and what each part of it less gains.
double line_mps(const Json& lifter, double mean_kg) {
  return double(lifter["best_single_mps"]) +
         double(lifter["slope_mps"]) * (1.0 - mean_kg / double(lifter["best_single_kg"]));
}

bool missed(const Json& lifter, const std::string& day) {
  for (const std::string misses : lifter.value("missed", Json::array())) {
    if (misses == day) return true;
  }
  return false;
}

bool happens(const Json& lifter, const char* what, const std::string& day) {
  return lifter.contains(what) && lifter[what]["date"] == day;
}

class Season {
 public:
  explicit Season(Json plan) : plan_(std::move(plan)), dice_(plan_["seed"].get<std::uint64_t>()) {}

  void play() {
    csv_ =
        "date,lifter,lift,bar,box_height_m,load_kg,chains,set,start,planned_reps,best_single_kg,"
        "rep,"
        "mean_velocity_mps,mean_velocity_sigma_mps,rom_m,rom_sigma_m,bottom_load_kg,mean_load_kg,"
        "top_load_kg,not_measured\n";
    truth_["about"] = "What was true of the sessions in the CSV beside this file.";
    for (const Json& lifter : plan_["lifters"]) {
      truth_["lifters"].push_back({{"name", lifter["name"]},
                                   {"best_single_mps", lifter["best_single_mps"]},
                                   {"slope_mps", lifter["slope_mps"]},
                                   {"second_wave_mps", lifter["second_wave_mps"]}});
    }
    truth_["sessions"] = Json::array();
    test_day();
    const Day first = day_of(plan_["first_session"]);
    for (std::size_t i = 0; i < plan_["shares"].size(); ++i) {
      wave_day(iso_of(first + std::chrono::days{int(plan_["every_days"]) * int(i)}),
               plan_["shares"][i],
               int(i) >= int(plan_["wave_sessions"]));
    }
  }

  [[nodiscard]] const std::string& csv() const { return csv_; }
  [[nodiscard]] const Json& truth() const { return truth_; }

 private:
  /// What a session's mean is moved by, besides the load.
  struct Shift {
    double day_mps = 0.0;
    double lifter_mps = 0.0;
    double change_mps = 0.0;
    [[nodiscard]] double sum() const { return day_mps + lifter_mps + change_mps; }
  };

  void test_day() {
    const Json& test = plan_["test_day"];
    const double day_mps = dice_.around(plan_["day_sigma_mps"]);
    int place = 0;
    for (const Json& lifter : plan_["lifters"]) {
      if (missed(lifter, test["date"])) continue;
      const Shift shift{.day_mps = day_mps, .lifter_mps = dice_.around(plan_["session_sigma_mps"])};
      for (std::size_t i = 0; i < test["shares"].size(); ++i) {
        const Loads loads = loads_of(
            lifter, hung_kg(double(test["shares"][i]) * double(lifter["best_single_kg"])), nullptr);
        note_session(lifter, test["date"], loads, shift);
        set(lifter, test["date"], loads, nullptr, int(i) + 1, test["reps"][i], shift, place);
      }
      ++place;
    }
  }

  void wave_day(const std::string& day, double share, bool second_wave) {
    const double day_mps = dice_.around(plan_["day_sigma_mps"]);
    int place = 0;
    for (const Json& lifter : plan_["lifters"]) {
      if (missed(lifter, day)) continue;
      const Shift shift{.day_mps = day_mps,
                        .lifter_mps = dice_.around(plan_["session_sigma_mps"]),
                        .change_mps = second_wave ? double(lifter["second_wave_mps"]) : 0.0};
      const Loads loads =
          loads_of(lifter, hung_kg(share * double(lifter["best_single_kg"])), &plan_["chain"]);
      note_session(lifter, day, loads, shift);
      for (const int number : plan_["filmed_sets"]) {
        set(lifter, day, loads, &plan_["chain"], number, plan_["reps"], shift, place);
      }
      ++place;
    }
  }

  void note_session(const Json& lifter, const std::string& day, const Loads& loads, Shift shift) {
    truth_["sessions"].push_back({{"date", day},
                                  {"lifter", lifter["name"]},
                                  {"load_kg", loads.bar_kg},
                                  {"mean_load_kg", rounded(loads.mean_kg)},
                                  {"line_mps", rounded(line_mps(lifter, loads.mean_kg))},
                                  {"day_mps", rounded(shift.day_mps)},
                                  {"lifter_mps", rounded(shift.lifter_mps)},
                                  {"change_mps", rounded(shift.change_mps)}});
  }

  void set(const Json& lifter,
           const std::string& day,
           const Loads& loads,
           const Json* chain,
           int number,
           int reps,
           Shift shift,
           int place) {
    const std::string start =
        fmt::format("{:02}:{:02}", 17 + number / 6, 10 * (number % 6) + place);
    for (int rep = 1; rep <= reps; ++rep) {
      double velocity =
          line_mps(lifter, loads.mean_kg) + shift.sum() + dice_.around(plan_["rep_sigma_mps"]);
      if (happens(lifter, "tired", day)) {
        velocity *= 1.0 - double(lifter["tired"]["loss_a_rep"]) * (rep - 1);
      }
      // Clips differ: some are square-on and sharp, some are not.
      const double sigma = double(lifter["filmed_sigma_mps"]) * dice_.uniform(0.7, 1.5);
      const double measured = velocity + dice_.around(sigma);
      const double range = double(lifter["range_m"]) + dice_.around(0.006);
      const bool hidden =
          happens(lifter, "hidden", day) && hidden_++ < int(lifter["hidden"]["reps"]);
      csv_ += fmt::format(
          "{},{},{},{},{:g},{:g},{},{},{},{},{:g},{},{},{},{:.3f},0.003,{:.2f},{:.2f},{:.2f},{}\n",
          day,
          std::string(lifter["name"]),
          std::string(plan_["lift"]),
          std::string(plan_["bar"]),
          double(lifter["box_height_m"]),
          loads.bar_kg,
          chain != nullptr ? std::string((*chain)["words"]) : std::string(),
          number,
          start,
          reps,
          double(lifter["best_single_kg"]),
          rep,
          hidden ? std::string() : fmt::format("{:.3f}", measured),
          hidden ? std::string() : fmt::format("{:.4f}", sigma),
          range,
          loads.bottom_kg,
          loads.mean_kg,
          loads.top_kg,
          hidden ? "mean_velocity_mps: disc hidden" : "");
    }
  }

  static double rounded(double value) { return std::round(value * 1e5) / 1e5; }

  Json plan_;
  Json truth_;
  render::Dice dice_;
  std::string csv_;
  int hidden_ = 0;
};

void write(const std::string& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  if (!file.flush()) throw std::runtime_error(path + ": cannot be written");
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) {
    std::cerr << "simulate_season SEASON.json OUT.csv TRUTH.json\n";
    return 2;
  }
  try {
    std::ifstream file(argv[1]);
    if (!file) throw std::runtime_error(std::string(argv[1]) + ": cannot be read");
    Season season(Json::parse(file));
    season.play();
    write(argv[2], season.csv());
    write(argv[3], season.truth().dump(1) + "\n");
  } catch (const std::exception& error) {
    std::cerr << "simulate_season: " << error.what() << "\n";
    return 1;
  }
  return 0;
}
