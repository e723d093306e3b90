#include "libkinetics/report/table.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/flag_words.h"
#include "libkinetics/report/load_table.h"
#include "libkinetics/report/rep_label.h"
#include "libkinetics/report/table_words.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

constexpr std::string_view kRowFormat = "{} {:>{}}  {:>13}  {:>13}  {:>12} {:>4}  ";

std::string with_interval(const Measured& m, double unit, int decimals) {
  if (!m.ok()) return "not measured";
  return fmt::format(
      "{:.{}f} ± {:.{}f}", m.value() / unit, decimals, kNormal95 * m.sigma() / unit, decimals);
}

std::string loss_percent(const Measured& loss) {
  return loss.ok() ? fmt::format("{:.0f}", 100.0 * loss.value()) : "-";
}

std::string start_of(const Rep& rep) {
  return fmt::format("{:.2f}", rep.start_s);
}

TableRow cells_of(const Session& session, const Rep& rep) {
  return {.set = rep.set,
          .rep = rep.number,
          .start = start_of(rep),
          .mean_velocity = with_interval(rep.mean_velocity_mps, 1.0, 3),
          .peak_velocity = with_interval(rep.peak_velocity_mps, 1.0, 3),
          .range = with_interval(rep.rom_m, 0.01, 1),
          .loss = loss_percent(rep.velocity_loss),
          .flags = spoken_flags(session, rep)};
}

/// The table of one session's reps. Columns are no wider than they must be: what is left belongs to
/// the flags.
class Rows {
 public:
  explicit Rows(const Session& session) : session_(session), labels_(session.reps) {
    for (const Rep& rep : session.reps)
      start_columns_ = std::max(start_columns_, start_of(rep).size());
  }

  [[nodiscard]] std::string all() const {
    std::string text = headings();
    const std::vector<Rep>& reps = session_.reps;
    for (std::size_t i = 0; i < reps.size(); ++i) {
      if (i > 0 && reps[i].set != reps[i - 1].set) text += '\n';
      text += row(reps[i]);
    }
    return text;
  }

 private:
  [[nodiscard]] std::string headings() const {
    std::string units =
        fmt::format(kRowFormat, labels_.blank(), "s", start_columns_, "m/s", "m/s", "cm", "%");
    units.erase(units.find_last_not_of(' ') + 1);
    return fmt::format(kRowFormat,
                       labels_.heading(),
                       "Start",
                       start_columns_,
                       "Mean velocity",
                       "Peak velocity",
                       "Range",
                       "Loss") +
           "Flags\n" + units + "\n";
  }

  [[nodiscard]] std::string row(const Rep& rep) const {
    const TableRow cells = cells_of(session_, rep);
    const std::string numbers = fmt::format(kRowFormat,
                                            labels_.of(rep),
                                            cells.start,
                                            start_columns_,
                                            cells.mean_velocity,
                                            cells.peak_velocity,
                                            cells.range,
                                            cells.loss);
    if (cells.flags.empty()) return numbers.substr(0, numbers.find_last_not_of(' ') + 1) + "\n";
    return numbers + beside(cells.flags, shown_width(numbers));
  }

  /// A line a flag, and never two flags on one: a rep can carry more words than fit beside it.
  static std::string beside(const std::vector<std::string>& flags, std::size_t indent) {
    const std::string blank(indent, ' ');
    std::string text;
    for (const std::string& flag : flags) text += wrapped(flag, kTableColumns, blank, blank);
    return text.substr(indent);
  }

  const Session& session_;
  RepLabels labels_;
  std::size_t start_columns_ = 5;  // of the heading
};

/// What the coach asks of a set: how many, the best, how much was lost by the last.
std::string set_in_a_sentence(const std::vector<const Rep*>& reps) {
  const auto slower = [](const Rep* a, const Rep* b) {
    if (!a->mean_velocity_mps.ok() || !b->mean_velocity_mps.ok())
      return !a->mean_velocity_mps.ok() && b->mean_velocity_mps.ok();
    return a->mean_velocity_mps.value() < b->mean_velocity_mps.value();
  };
  const Rep& fastest = **std::max_element(reps.begin(), reps.end(), slower);
  const Rep& last = *reps.back();
  std::string text =
      fmt::format("Set {}: {} rep{}", last.set, reps.size(), reps.size() == 1 ? "" : "s");
  if (!fastest.mean_velocity_mps.ok()) return text + ", none of them measured.";
  text += fmt::format(
      ", fastest {:.3f} m/s (rep {})", fastest.mean_velocity_mps.value(), fastest.number);
  if (&fastest == &last) return text + (reps.size() == 1 ? "." : ", which is the last.");
  if (!last.mean_velocity_mps.ok()) return text + "; the last was not measured.";
  text += fmt::format(", last {:.3f} m/s", last.mean_velocity_mps.value());
  if (last.velocity_loss.ok()) {
    text += fmt::format(": {:.0f} ± {:.0f} % of the fastest lost",
                        100.0 * last.velocity_loss.value(),
                        100.0 * kNormal95 * last.velocity_loss.sigma());
  }
  return text + ".";
}

std::string sets_in_sentences(const std::vector<Rep>& reps) {
  std::string text;
  for (const std::string& sentence : set_sentences(reps)) {
    text += wrapped(sentence, kTableColumns, "", "  ");
  }
  return text;
}

/// One line a rep that misses one of the numbers of the table, with the reason.
std::string what_is_missing(const std::vector<Rep>& reps) {
  std::string text;
  for (const Rep& rep : reps) {
    for (const auto& [name, m] : {std::pair{"mean velocity", rep.mean_velocity_mps},
                                  std::pair{"peak velocity", rep.peak_velocity_mps},
                                  std::pair{"range", rep.rom_m}}) {
      if (m.ok() || m.reason() == Reason::kNotGiven) continue;  // the note tells of its source
      text += wrapped(fmt::format("Set {} rep {}: {} not measured: {}.",
                                  rep.set,
                                  rep.number,
                                  name,
                                  in_words(m.reason())),
                      kTableColumns,
                      "",
                      "  ");
    }
  }
  return text;
}

/// Every flag with what speaks for it and how sure it is.
std::string findings_in(const Findings& findings) {
  std::string text;
  for (const Finding& finding : findings) {
    text += wrapped(in_a_sentence(finding), kTableColumns, "", "  ");
  }
  return text;
}

std::string notes_in(const Notes& notes) {
  std::string text;
  for (const Note& note : notes) {
    const std::string lead = note.kind == NoteKind::kCaution ? "Caution: " : "Note: ";
    text += wrapped(lead + printable(note.text), kTableColumns, "", "  ");
  }
  return text;
}

std::string clip_in_words(const ClipInfo& clip) {
  std::string facts = fmt::format(
      "{} x {} pixels, {:.2f} frames/s", clip.width_px, clip.height_px, clip.frame_rate_hz);
  if (clip.slow_motion_factor != 1.0) {
    facts += fmt::format(", stored {:g} times slowed", clip.slow_motion_factor);
  }
  return facts;
}

std::string log_in_words(const LogInfo& log) {
  const char* what = log.holds_positions ? "heights"
                     : log.has_gyroscope ? "accelerations and rotation rates"
                                         : "accelerations";
  return fmt::format("{}, {:.1f} a second", what, log.rate_hz);
}

/// How the clocks of log and clip stand, when both were read.
std::string clocks_in_words(const LogInfo& log) {
  if (!log.offset_s) return "";
  std::string text = fmt::format("The log begins {:.3f} ± {:.3f} s {} the clip",
                                 std::abs(*log.offset_s),
                                 kNormal95 * log.offset_sigma_s.value_or(0.0),
                                 *log.offset_s < 0.0 ? "before" : "after");
  if (log.agreement) text += fmt::format("; their velocities correlate by {:.3f}", *log.agreement);
  return text + ".";
}

std::string heading(const Session& session) {
  std::string text = wrapped(printable(session.provenance.source_name), kTableColumns);
  std::string facts;
  if (has_clip(session)) facts = clip_in_words(session.clip);
  if (session.log && !has_clip(session)) facts = log_in_words(*session.log);
  if (!session.motion.samples.empty()) {
    facts += fmt::format(", {:.1f} s", session.motion.samples.back().t_s);
  }
  text += wrapped(facts, kTableColumns);
  if (session.log && has_clip(session)) {
    text +=
        wrapped(
            printable(fmt::format("with {}: {}", session.log->name, log_in_words(*session.log))),
            kTableColumns) +
        wrapped(clocks_in_words(*session.log), kTableColumns);
  }
  return text + set_in_words(session);
}

std::string scale_in_words(const Session& session) {
  std::string text;
  if (has_clip(session)) {
    text += fmt::format("disc {:g} mm across; ", 1000.0 * session.options.tracking.disc_diameter_m);
  }
  if (session.log && !session.log->holds_positions) {
    text += fmt::format("gravity {:.4f} m/s²; ", session.options.strapdown.gravity_mps2);
  }
  return text;
}

std::string how_measured(const Session& session) {
  const Provenance& from = session.provenance;
  return wrapped(fmt::format("Rise counted from {0:g} m/s up to {0:g} m/s at the top; {1}"
                             "slowed means {2:.0f} % below the set's fastest. kinetics {3}, {4}.",
                             session.options.reps.threshold_mps,
                             scale_in_words(session),
                             100.0 * session.options.reps.slowed_loss,
                             from.program_version,
                             from.analysed_at),
                 kTableColumns);
}

constexpr std::string_view kCaution =
    "These figures describe bar movement, not technique, health or readiness: coach and lifter "
    "decide. Never add load on a number that is uncertain or not measured. Stop on pain or "
    "dizziness and see a licensed clinician.";

}  // namespace

std::vector<TableRow> table_rows(const Session& session) {
  std::vector<TableRow> rows;
  rows.reserve(session.reps.size());
  for (const Rep& rep : session.reps) rows.push_back(cells_of(session, rep));
  return rows;
}

std::vector<std::string> set_sentences(const std::vector<Rep>& reps) {
  std::vector<std::string> sentences;
  std::vector<const Rep*> of_set;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    of_set.push_back(&reps[i]);
    if (i + 1 < reps.size() && reps[i + 1].set == reps[i].set) continue;
    sentences.push_back(set_in_a_sentence(of_set));
    of_set.clear();
  }
  return sentences;
}

std::string_view usual_cautions() {
  return kCaution;
}

std::string to_table(const Session& session) {
  std::string text = heading(session) + "\n";
  if (session.reps.empty()) {
    text +=
        fmt::format("No repetition was found in this {}.\n", has_clip(session) ? "clip" : "log");
  } else {
    text += Rows(session).all() + "\n" + sets_in_sentences(session.reps) +
            what_is_missing(session.reps) + "± is half of the 95 % interval.\n";
    const std::string loads = load_table(session);
    if (!loads.empty()) text += "\n" + loads;
    if (!session.findings.empty()) text += "\n" + findings_in(session.findings);
  }
  if (!session.notes.empty()) text += "\n" + notes_in(session.notes);
  return text + "\n" + how_measured(session) + "\n" + wrapped(kCaution, kTableColumns);
}

std::vector<std::string> facts_in_words(const Session& session) {
  std::vector<std::string> out;
  const auto add = [&](std::string fact) {
    if (!fact.empty()) out.push_back(std::move(fact));
  };
  if (has_clip(session)) add(clip_in_words(session.clip));
  if (session.log) {
    add((has_clip(session) ? session.log->name + ": " : "") + log_in_words(*session.log));
  }
  if (session.log && has_clip(session)) add(clocks_in_words(*session.log));
  return out;
}

std::string how_measured_in_words(const Session& session) {
  return how_measured(session);
}

}  // namespace kinetics
