#include "libkinetics/report/plan_table.h"

#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/plan_words.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/report/unit_word.h"
#include "libkinetics/sheet/csv_table.h"

namespace kinetics {
namespace {

using Json = nlohmann::ordered_json;
constexpr double kPercent = 100.0;
constexpr std::size_t kNameWide = 17;
constexpr std::size_t kDiscsWide = 20;

/// To this many characters shown, with spaces or cut.
std::string fitted(const std::string& text, std::size_t wide) {
  if (shown_width(text) > wide) {
    const std::string line = wrapped(text, wide - 1);
    return fitted(line.substr(0, line.find('\n')) + "…", wide);
  }
  return text + std::string(wide - shown_width(text), ' ');
}

std::string paragraph(const std::string& text, std::string_view rest = "  ") {
  return wrapped(printable(text), kTableColumns, "", rest);
}

std::string load_cell(const std::optional<double>& kg, MassUnit unit) {
  if (!kg) return fmt::format("{:>6}", "?");
  const double shown = unit == MassUnit::kPound ? *kg / kKilogramsPerPound : *kg;
  return fmt::format("{:>6.1f}", shown);
}

std::string heading(MassUnit unit) {
  const std::string u = unit_word(unit);
  return fmt::format(
      "{:<17} {:>6}  {:<20} {:>6} {:>6} {:>6}  Expected\n"
      "{:<17} {:>6}  {:<20} {:>6} {:>6} {:>6}  m/s\n",
      "Lifter",
      "Bar",
      "Discs, one side",
      "Bottom",
      "Mean",
      "Top",
      "",
      u,
      u,
      u,
      u,
      u);
}

std::string row(const NextLoading& loading, MassUnit unit) {
  const std::string discs = discs_short(loading.hung.side, unit);
  const bool long_discs = shown_width(discs) > kDiscsWide;
  std::string out = fmt::format("{} {:>6}  {} {} {} {}  {}\n",
                                fitted(printable(loading.lifter), kNameWide),
                                load_number(loading.hung.total_kg, unit),
                                fitted(long_discs ? "below" : discs, kDiscsWide),
                                load_cell(loading.bottom_kg, unit),
                                load_cell(loading.mean_kg, unit),
                                load_cell(loading.top_kg, unit),
                                expected_in_words(loading.expected_mps));
  if (long_discs) {
    const std::string indent(kNameWide + 9, ' ');
    out += wrapped(discs, kTableColumns, indent, indent);
  }
  return out;
}

std::string set_up_line(const LiftDay& day) {
  if (day.loadings.empty()) return {};
  std::string out = "Set-up: " + set_up_in_words(day.loadings.front());
  bool collars = false;
  for (const NextLoading& loading : day.loadings) collars = collars || loading.collars;
  if (collars) out += ", collars counted";
  return paragraph(out + ".");
}

std::string day_table(const LiftDay& day, MassUnit unit) {
  const std::string title = fmt::format(
      "{}, {}: {}", day.lift, day_in_words(day.day), session_in_words(day.session, day.weeks));
  std::string out = paragraph(capital(title));
  std::string sets = sets_in_words(day);
  if (day.session.days_to_meet) {
    sets += fmt::format(". {} days to the {}", *day.session.days_to_meet, day.meet);
  }
  out += paragraph(sets + ".") + set_up_line(day) + "\n" + heading(unit);
  for (const NextLoading& loading : day.loadings) out += row(loading, unit);
  out += "\n";
  for (const NextLoading& loading : day.loadings) {
    std::string line =
        fmt::format("{}: {}. {}", loading.lifter, move_in_words(loading), loading.adjustment.why);
    if (!loading.exact) {
      line += fmt::format(". The discs come nearest to {} {}",
                          load_number(loading.wanted_kg, unit),
                          unit_word(unit));
    }
    out += paragraph(line + ".");
  }
  const Notes notes = shared_notes(day);
  if (!notes.empty()) out += "\n";
  for (const Note& note : notes) {
    out += paragraph((note.kind == NoteKind::kCaution ? "Caution: " : "Note: ") + note.text);
  }
  return out;
}

std::string week_table(const NextPlan& plan) {
  std::string out;
  if (plan.specials.empty() && plan.accessories.sessions.empty()) return out;
  out += fmt::format("\nWeek of {}:\n", day_in_words(plan.week_begins));
  for (const SpecialSession& s : plan.specials) {
    out += paragraph(fmt::format("{}: {} (week {} of {}), worked up by feel: no load is planned",
                                 weekday_name(s.day),
                                 s.exercise,
                                 s.turn_week,
                                 s.turn_weeks),
                     "    ");
  }
  for (const AccessorySession& s : plan.accessories.sessions) {
    out += paragraph(fmt::format("{}: {}, {}, {:g} kg × {:g} m × {} = {:.0f} kg m ({:.0f} % of a "
                                 "heavy day)",
                                 weekday_name(s.day),
                                 s.name,
                                 in_words(s.kind),
                                 s.load_kg,
                                 s.distance_m,
                                 s.times,
                                 s.work_kg_m,
                                 kPercent * s.share),
                     "    ");
  }
  if (!plan.accessories.sessions.empty()) {
    out += fmt::format("Accessory work of the week: {:.0f} kg m.\n", plan.accessories.work_kg_m);
  }
  for (const Note& note : plan.accessories.notes) out += paragraph("Note: " + note.text);
  return out;
}

Json of(const Measured& m) {
  const auto rounded = [](double v) { return std::round(v * 1e5) / 1e5; };
  if (!m.ok()) return nullptr;
  return {{"value", rounded(m.value())}, {"lo", rounded(m.lo())}, {"hi", rounded(m.hi())}};
}

Json or_null(const std::optional<double>& value) {
  return value ? Json(std::round(*value * 1e4) / 1e4) : Json(nullptr);
}

Json of(const Notes& notes) {
  Json out = Json::array();
  for (const Note& note : notes) {
    out.push_back(
        {{"kind", note.kind == NoteKind::kCaution ? "caution" : "decision"}, {"text", note.text}});
  }
  return out;
}

Json of(const NextLoading& loading) {
  Json discs = Json::array();
  for (const Disc& disc : loading.hung.side) {
    discs.push_back(
        {{"mass_kg", disc.mass.kg()},
         {"stamped",
          load_number(disc.mass.kg(), disc.mass.unit()) + " " + unit_word(disc.mass.unit())},
         {"count", disc.count}});
  }
  return {{"lifter", loading.lifter},
          {"bar", loading.set.plan.bar},
          {"box_height_m", or_null(loading.session.variant.box_height_m)},
          {"chains", loading.session.variant.chains},
          {"bands", loading.session.variant.bands},
          {"best_single_kg", loading.best_single_kg},
          {"wave_kg", or_null(loading.wave_kg)},
          {"wanted_kg", or_null(loading.wanted_kg)},
          {"load_kg", or_null(loading.hung.total_kg)},
          {"exact", loading.exact},
          {"discs_a_side", discs},
          {"bottom_load_kg", or_null(loading.bottom_kg)},
          {"mean_load_kg", or_null(loading.mean_kg)},
          {"top_load_kg", or_null(loading.top_kg)},
          {"expected_mps", of(loading.expected_mps)},
          {"set_up", set_up_in_words(loading)},
          {"move", in_words(loading.adjustment.move)},
          {"move_words", move_in_words(loading)},
          {"offset_share", loading.adjustment.offset_share},
          {"why", loading.adjustment.why},
          {"notes", of(loading.notes)}};
}

Json of(const LiftDay& day) {
  Json loadings = Json::array();
  for (const NextLoading& loading : day.loadings) loadings.push_back(of(loading));
  return {
      {"date", in_iso(day.day)},
      {"lift", day.lift},
      {"wave", day.session.wave},
      {"week", day.session.week},
      {"share_of_best_single", or_null(day.session.share)},
      {"sets", day.session.sets},
      {"reps", day.session.reps},
      {"work_share", day.session.work_share},
      {"second_day", day.session.second_day},
      {"taper", day.session.taper},
      {"days_to_meet", day.session.days_to_meet ? Json(*day.session.days_to_meet) : Json(nullptr)},
      {"meet", day.meet},
      {"rest_s", day.rest_s ? Json(*day.rest_s) : Json(nullptr)},
      {"session_words", session_in_words(day.session, day.weeks)},
      {"sets_words", sets_in_words(day)},
      {"loadings", loadings},
      {"notes", of(day.notes)},
      {"notes_once", of(shared_notes(day))}};
}

void add_rows(const LiftDay& day, const NextLoading& loading, MassUnit unit, CsvTable& table) {
  const auto& variant = loading.session.variant;
  for (int set = 1; set <= day.session.sets; ++set) {
    table.rows.push_back(
        {loading.lifter,
         day.lift,
         loading.set.plan.bar,
         variant.box_height_m ? fmt::format("{:g}", kPercent * *variant.box_height_m) : "",
         load_number(loading.hung.total_kg, unit),
         variant.chains,
         variant.bands,
         std::to_string(set),
         "",
         std::to_string(day.session.reps),
         "",
         in_iso(day.day),
         discs_short(loading.hung.side, unit),
         loading.expected_mps.ok() ? fmt::format("{:.3f}", loading.expected_mps.lo()) : "",
         loading.expected_mps.ok() ? fmt::format("{:.3f}", loading.expected_mps.hi()) : "",
         std::string(in_words(loading.adjustment.move))});
  }
}

}  // namespace

std::string to_table(const NextPlan& plan, MassUnit unit) {
  std::string out;
  for (const LiftDay& day : plan.days) {
    if (!out.empty()) out += "\n";
    out += day_table(day, unit);
  }
  out += week_table(plan);
  if (!plan.notes.empty()) out += "\n";
  for (const Note& note : plan.notes) {
    out += paragraph((note.kind == NoteKind::kCaution ? "Caution: " : "Note: ") + note.text);
  }
  if (plan.days.empty()) return out;
  out += "\n" + wrapped(plan.rule, kTableColumns) +
         wrapped(
             "Expected: the mean velocity of a session's reps, 95 % of days. Bottom, mean and "
             "top: the straight weight that would weigh as much there.",
             kTableColumns);
  return out + "\n" + wrapped(plan_cautions(), kTableColumns);
}

std::string to_csv(const NextPlan& plan, MassUnit unit) {
  CsvTable table;
  table.carriage_returns = true;
  table.rows.push_back({"lifter",
                        "lift",
                        "bar",
                        "box height (cm)",
                        fmt::format("load ({})", unit_word(unit)),
                        "chains",
                        "bands",
                        "set",
                        "time",
                        "reps",
                        "notes",
                        "planned day",
                        "discs a side",
                        "expected from (m/s)",
                        "expected to (m/s)",
                        "move"});
  for (const LiftDay& day : plan.days) {
    for (const NextLoading& loading : day.loadings) add_rows(day, loading, unit, table);
  }
  return to_text(table);
}

std::string to_json(const NextPlan& plan) {
  Json days = Json::array();
  for (const LiftDay& day : plan.days) days.push_back(of(day));
  Json specials = Json::array();
  for (const SpecialSession& s : plan.specials) {
    specials.push_back({{"date", in_iso(s.day)},
                        {"exercise", s.exercise},
                        {"turn_week", s.turn_week},
                        {"turn_weeks", s.turn_weeks}});
  }
  Json accessories = Json::array();
  for (const AccessorySession& s : plan.accessories.sessions) {
    accessories.push_back({{"date", in_iso(s.day)},
                           {"name", s.name},
                           {"day", in_words(s.kind)},
                           {"load_kg", s.load_kg},
                           {"distance_m", s.distance_m},
                           {"times", s.times},
                           {"work_kg_m", s.work_kg_m},
                           {"share", s.share}});
  }
  const Json out = {{"format", "kinetics plan"},
                    {"schema_version", 1},
                    {"days", days},
                    {"special_exercises", specials},
                    {"accessory_work", accessories},
                    {"accessory_work_kg_m", plan.accessories.work_kg_m},
                    {"accessory_notes", of(plan.accessories.notes)},
                    {"rule", plan.rule},
                    {"notes", of(plan.notes)},
                    {"caution", plan_cautions()}};
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace kinetics
