#include "libkinetics/sensor/read_log.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/log_plan.h"
#include "libkinetics/sensor/log_stream.h"
#include "libkinetics/sensor/log_text.h"
#include "libkinetics/sensor/range_watch.h"
#include "libkinetics/sensor/rate_track.h"
#include "libkinetics/sensor/step_survey.h"

namespace kinetics {
namespace {

using namespace sensor_detail;  // NOLINT: this file is where the room's parts come together

// Fewer rows show nothing of a lift.
constexpr std::size_t kFewestRows = 4;
constexpr double kLowestRate_hz = 1.0;
constexpr double kHighestRate_hz = 20000.0;

void check(const LogOptions& options) {
  if (options.rate_hz &&
      !(*options.rate_hz >= kLowestRate_hz && *options.rate_hz <= kHighestRate_hz)) {
    throw Error(ErrorCode::kUsage,
                fmt::format("--rate {:g}", *options.rate_hz),
                "the rate is out of range",
                fmt::format("Give rows a second, {:g} to {:g}", kLowestRate_hz, kHighestRate_hz));
  }
}

ClockKind clock_of(const LogPlan& plan) {
  if (!plan.time) return ClockKind::kRows;
  return plan.time->wall_clock ? ClockKind::kWall : ClockKind::kElapsed;
}

void append(Notes& notes, Notes more) {
  notes.insert(
      notes.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

// Rotation rates from a file of their own, or from rows of their own in the same file.
struct SeparateRates {
  RateTrack track;
  ClockKind clock = ClockKind::kRows;
};

std::optional<SeparateRates> read_rates(const std::filesystem::path& path,
                                        const LogPlan& main,
                                        const LogOptions& options,
                                        Notes& notes) {
  const bool other_file = !options.gyroscope_file.empty();
  if (!other_file && !main.gyroscope_rows) return std::nullopt;
  LogOptions own = options;
  if (!other_file) own.gyroscope_columns = options.columns;
  LogText text(other_file ? options.gyroscope_file : path);
  const LogPlan plan =
      plan_log(text, own, Wanted::kRotationRate, other_file ? nullptr : &*main.gyroscope_rows);
  SeparateRates rates;
  rates.clock = clock_of(plan);
  StreamResult result = stream_rows(text, plan, {}, [&](std::span<const LogRow> rows) {
    for (const LogRow& row : rows) {
      rates.track.add(row.t_s + plan.origin_s,
                      Eigen::Vector3d(row.values[0], row.values[1], row.values[2]).cast<float>());
    }
  });
  if (rates.track.empty()) {
    throw Error(ErrorCode::kUnreadable,
                text.name(),
                "there are no rows of rotation rate in it",
                "Leave the gyroscope's file away, or log again");
  }
  append(notes, plan.notes);
  append(notes, std::move(result.notes));
  return rates;
}

// Makes samples of rows and passes them on.
class SampleMaker {
 public:
  SampleMaker(const LogPlan& plan, SensorLog& log, const SampleSink& sink)
      : plan_(plan), log_(log), sink_(sink) {
    steps_.set_pace(plan.step_s);
  }

  void join(std::optional<SeparateRates> rates) {
    rates_ = std::move(rates);
    if (rates_) log_.has_gyroscope = true;
  }

  void take(std::span<const LogRow> rows) {
    if (!begun_) begin(rows.front());
    if (plan_.content == Content::kHeight) return take_heights(rows);
    chunk_.clear();
    for (const LogRow& row : rows) {
      SensorSample sample;
      if (!make(row, sample)) continue;
      steps_.add(sample.t_s);
      chunk_.push_back(sample);
    }
    if (chunk_.empty()) return;
    made_ += chunk_.size();
    range_.watch(chunk_);
    if (sink_) {
      clipped_ += range_.mark(chunk_);
      sink_(log_, chunk_);
    } else {
      log_.samples.insert(log_.samples.end(), chunk_.begin(), chunk_.end());
    }
  }

  void finish(const StreamResult& stream);

 private:
  void begin(const LogRow& first) {
    begun_ = true;
    first_s_ = first.t_s;
    first_height_m_ = first.values[0];
    if (rates_)
      rates_->track.align(rates_->clock, clock_of(plan_), first_s_ + plan_.origin_s, log_.notes);
  }

  bool make(const LogRow& row, SensorSample& sample) {
    const auto& v = row.values;
    sample.accel_mps2 = Eigen::Vector3d(v[0], v[1], v[2]).cast<float>();
    if (rates_) {
      const std::optional<Eigen::Vector3f> rate = rates_->track.at(row.t_s + plan_.origin_s);
      if (!rate) {
        ++without_rate_;
        return false;
      }
      sample.rate_radps = *rate;
    } else if (plan_.has_gyroscope) {
      sample.rate_radps = Eigen::Vector3d(v[3], v[4], v[5]).cast<float>();
    }
    if (made_ + chunk_.size() == 0) origin_s_ = row.t_s;
    sample.t_s = row.t_s - origin_s_;
    return true;
  }

  void take_heights(std::span<const LogRow> rows) {
    for (const LogRow& row : rows) {
      const double t_s = row.t_s - first_s_;
      steps_.add(t_s);
      log_.positions.push_back({.t_s = t_s, .height_m = row.values[0] - first_height_m_});
    }
    made_ += rows.size();
  }

  void refuse_if_too_short() const;
  void say_holes();
  void say_clipped();

  const LogPlan& plan_;
  SensorLog& log_;
  const SampleSink& sink_;
  std::optional<SeparateRates> rates_;
  std::vector<SensorSample> chunk_;
  StepSurvey steps_;
  RangeWatch range_;
  bool begun_ = false;
  double first_s_ = 0.0;
  double origin_s_ = 0.0;
  double first_height_m_ = 0.0;
  std::size_t made_ = 0;
  std::size_t without_rate_ = 0;
  std::size_t clipped_ = 0;
};

void SampleMaker::refuse_if_too_short() const {
  if (made_ >= kFewestRows) return;
  if (without_rate_ > 0) {
    throw Error(
        ErrorCode::kUnreadable,
        plan_.file,
        "the rows of acceleration and of rotation rate do not overlap in time",
        "Give two files of the same set, on clocks that agree, or leave the gyroscope away");
  }
  throw Error(ErrorCode::kUnreadable,
              plan_.file,
              fmt::format("only {} usable rows are in it", made_),
              "Log a whole set");
}

void SampleMaker::say_holes() {
  if (steps_.holes() == 0) return;
  log_.notes.push_back(
      {NoteKind::kCaution,
       fmt::format("Rows are missing in {} {}; the longest hole lasts {:.3g} s, from {:.2f} s on.",
                   steps_.holes(),
                   steps_.holes() == 1 ? "place" : "places",
                   steps_.longest_hole_s(),
                   steps_.longest_hole_at_s())});
}

void SampleMaker::say_clipped() {
  if (clipped_ == 0) return;
  std::string ends;
  if (log_.accel_range_mps2 > 0.0) {
    ends = fmt::format("{:.3g} g", log_.accel_range_mps2 / kStandardGravity);
  }
  if (range_.rate_range_radps() > 0.0) {
    ends += fmt::format(
        "{}{:.4g} deg/s", ends.empty() ? "" : " and ", range_.rate_range_radps() / kDegree);
  }
  log_.notes.push_back(
      {NoteKind::kCaution,
       fmt::format(
           "{} {} at the end of the sensor's range ({}): there it moved harder than it could "
           "tell. Set a wider range on the sensor.",
           clipped_,
           clipped_ == 1 ? "row stands" : "rows stand",
           ends)});
}

double step_of_heights(const std::vector<PositionSample>& positions) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < positions.size() && steps.size() < 100000; ++i) {
    const double step_m = std::abs(positions[i].height_m - positions[i - 1].height_m);
    if (step_m > 1e-9) steps.push_back(step_m);
  }
  if (steps.empty()) return 0.0;
  const auto low = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 20);
  std::nth_element(steps.begin(), low, steps.end());
  return *low;
}

void SampleMaker::finish(const StreamResult& stream) {
  refuse_if_too_short();
  log_.rows = stream.rows;
  append(log_.notes, stream.notes);
  log_.rate_hz = 1.0 / steps_.middle_s();
  const double resolution_s =
      plan_.time && !plan_.time->coarse ? plan_.time->resolution_s / std::sqrt(12.0) : 0.0;
  log_.stamp_sigma_s =
      plan_.time ? std::hypot(steps_.jitter_s(), resolution_s, stream.stamp_sigma_s) : 0.0;
  if (log_.started_unix_s > 0.0 && plan_.time && plan_.time->wall_clock) {
    log_.started_unix_s =
        plan_.origin_s + (plan_.content == Content::kHeight ? first_s_ : origin_s_);
  }
  if (plan_.content == Content::kHeight) {
    log_.height_step_m = step_of_heights(log_.positions);
  } else {
    log_.accel_range_mps2 = range_.accel_range_mps2();
    if (!sink_) clipped_ = range_.mark(log_.samples);
  }
  if (without_rate_ > 0) {
    log_.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("{} {} of acceleration {} left out because no rotation rate was logged near.",
                     without_rate_,
                     without_rate_ == 1 ? "row" : "rows",
                     without_rate_ == 1 ? "was" : "were")});
  }
  say_holes();
  say_clipped();
}

}  // namespace

SensorLog read_log(const std::filesystem::path& path, const LogOptions& options) {
  return read_log(path, options, SampleSink());
}

SensorLog read_log(const std::filesystem::path& path,
                   const LogOptions& options,
                   const SampleSink& sink) {
  check(options);
  LogText text(path);
  const LogPlan plan = plan_log(text, options, Wanted::kAnything);

  SensorLog log;
  log.has_gyroscope = plan.has_gyroscope;
  log.rate_hz = 1.0 / plan.step_s;
  log.started_unix_s = plan.started_unix_s;
  log.notes = plan.notes;
  // By the size of the file: growing step by step would copy everything several times.
  if (!sink && plan.content == Content::kAcceleration) log.samples.reserve(plan.rows_expected);
  SampleMaker maker(plan, log, sink);
  if (plan.content == Content::kAcceleration) {
    maker.join(read_rates(path, plan, options, log.notes));
  } else if (!options.gyroscope_file.empty()) {
    throw Error(ErrorCode::kUsage,
                options.gyroscope_file.string(),
                "a log of heights has no use for a gyroscope",
                "Give the file of accelerations first");
  }
  const StreamResult result = stream_rows(
      text, plan, options.progress, [&](std::span<const LogRow> rows) { maker.take(rows); });
  maker.finish(result);
  return log;
}

}  // namespace kinetics
