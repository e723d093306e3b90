#include "libkinetics/report/profile_data.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/profile_words.h"
#include "libkinetics/report/unit_word.h"
#include "libkinetics/report/zone_text.h"

namespace kinetics {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kSchemaVersion = 1;
constexpr std::string_view kLineEnd = "\r\n";

double rounded(double value) {
  return std::round(value * 1e5) / 1e5;
}

template <typename T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json of(const std::optional<Interval>& interval, double value) {
  return {{"value", rounded(value)},
          {"lo", interval ? Json(rounded(interval->lo)) : Json(nullptr)},
          {"hi", interval ? Json(rounded(interval->hi)) : Json(nullptr)}};
}

Json of(const Worked& worked) {
  return of(worked.interval, worked.value);
}

Json of(const VelocityLine& line) {
  Json covariance = Json::array();
  for (int i = 0; i < 3; ++i) {
    covariance.push_back({line.covariance(i, 0), line.covariance(i, 1), line.covariance(i, 2)});
  }
  return {{"intercept_mps", line.intercept_mps},
          {"slope_mps_per_kg", line.slope_mps_per_kg},
          {"bend_mps_per_kg2", line.bend_mps_per_kg2},
          {"covariance", covariance},
          {"set_scatter_mps", rounded(line.scatter_mps)},
          {"day_scatter_mps", rounded(line.day_scatter_mps)},
          {"degrees", std::isfinite(line.degrees) ? Json(rounded(line.degrees)) : Json(nullptr)},
          {"set_degrees",
           std::isfinite(line.set_degrees) ? Json(rounded(line.set_degrees)) : Json(nullptr)},
          {"lightest_kg", rounded(line.lightest_kg)},
          {"heaviest_kg", rounded(line.heaviest_kg)}};
}

Json of(const VelocityAt& at) {
  return {{"load_kg", rounded(at.load_kg)},
          {"line_mps", of(std::optional(at.line_mps), at.velocity_mps)},
          {"set_mps", of(std::optional(at.set_mps), at.velocity_mps)},
          {"beyond_lifted", at.outside}};
}

Json of(const ProfilePoint& p) {
  return {{"day", p.day},
          {"session", p.session},
          {"set", p.set},
          {"rep", p.rep},
          {"full_reps", p.full_reps},
          {"load_kg", rounded(p.load_kg)},
          {"stated_load_kg", rounded(p.stated_load_kg)},
          {"accommodating", p.accommodating},
          {"velocity_mps",
           of(Interval{p.velocity_mps - kNormal95 * p.velocity_sigma_mps,
                       p.velocity_mps + kNormal95 * p.velocity_sigma_mps},
              p.velocity_mps)},
          {"recency", rounded(p.recency)},
          {"residual_mps", rounded(p.residual_mps)},
          {"set_aside", p.set_aside},
          {"doubt", rounded(p.doubt)}};
}

Json of(const BestSingle& best) {
  Json out = {{"entered_kg", or_null(best.entered_kg)}, {"velocity", nullptr}};
  if (best.velocity) {
    out["velocity"] = {{"source", in_words(best.velocity->source)},
                       {"velocity_mps", rounded(best.velocity->velocity_mps)},
                       {"sigma_mps", rounded(best.velocity->sigma_mps)},
                       {"singles", best.velocity->singles}};
  }
  out["estimate_kg"] = best.estimate_kg ? of(*best.estimate_kg) : Json(nullptr);
  out["one_day_kg"] = best.one_day_kg ? Json{{"lo", rounded(best.one_day_kg->lo)},
                                             {"hi", rounded(best.one_day_kg->hi)}}
                                      : Json(nullptr);
  out["beyond_lifted"] = best.beyond_lifted;
  if (!best.missing.empty()) out["missing"] = best.missing;
  out["caution"] = best_single_caution(best);
  return out;
}

Json variant_of(const Profile& p) {
  return {{"lifter", p.variant.lifter},
          {"lift", p.variant.lift},
          {"bar", p.variant.bar},
          {"box_height_m", or_null(p.variant.box_height_m)},
          {"accommodating", p.variant.accommodating},
          {"axis", in_words(p.axis)},
          {"unit", unit_word(p.unit)}};
}

std::vector<double> even_loads_kg(const VelocityLine& line, int count) {
  constexpr double kBeyond = 0.1;  // of what was lifted, to each side
  const double margin = kBeyond * std::max(line.heaviest_kg - line.lightest_kg, line.lightest_kg);
  const double first = std::max(0.0, line.lightest_kg - margin);
  const double step = (line.heaviest_kg + margin - first) / (count - 1);
  std::vector<double> out;
  for (int i = 0; i < count; ++i) out.push_back(first + step * i);
  return out;
}

Json words_of(const Profile& p) {
  if (prediction_line(p) == nullptr) return Json::array({"No line: " + p.no_line + "."});
  Json out = Json::array({"Best single: " + best_single_words(p),
                          "Over the weeks: " + drift_words(p),
                          "Line: " + curve_words(p),
                          "It " + pooling_words(p)});
  for (const ProfilePoint& point : p.points) {
    if (point.set_aside) out.push_back("Set aside: " + set_aside_words(p, point) + ".");
  }
  return out;
}

Json of(const Profile& p, std::optional<int> even_loads) {
  Json out = variant_of(p);
  const VelocityLine* line = prediction_line(p);
  out["line"] = p.line ? of(*p.line) : Json(nullptr);
  out["curve"] = p.curve ? of(*p.curve) : Json(nullptr);
  out["curve_gain_aicc"] = p.curve_test ? Json(rounded(p.curve_test->gain)) : Json(nullptr);
  out["own_line"] = p.own_line ? of(*p.own_line) : Json(nullptr);
  out["pooled_lifters"] = p.pooled_lifters;
  out["assumed_scatter"] = p.assumed_scatter;
  if (!p.no_line.empty()) out["no_line"] = p.no_line;
  out["predictions"] = Json::array();
  if (line != nullptr) {
    for (const double load : even_loads ? even_loads_kg(*line, *even_loads) : round_loads_kg(p)) {
      out["predictions"].push_back(of(velocity_at(*line, load)));
    }
  }
  out["force_velocity"] = nullptr;
  if (p.force) {
    out["force_velocity"] = {{"f0_n", of(p.force->f0_n)},
                             {"v0_mps", of(p.force->v0_mps)},
                             {"pmax_w", of(p.force->pmax_w)},
                             {"best_load_kg", of(p.force->best_load_kg)},
                             {"best_mps", rounded(p.force->best_mps)}};
  }
  out["best_single"] = of(p.best);
  out["drift"] = nullptr;
  if (p.drift) {
    out["drift"] = {{"mps_per_week", of(std::optional(p.drift->interval), p.drift->mps_per_week)},
                    {"weeks", rounded(p.drift->weeks)},
                    {"days", p.drift->days},
                    {"word", in_words(p.drift->word)}};
  }
  out["points"] = Json::array();
  for (const ProfilePoint& point : p.points) out["points"].push_back(of(point));
  out["words"] = words_of(p);
  out["notes"] = Json::array();
  for (const Note& note : p.notes) out["notes"].push_back(note.text);
  return out;
}

std::string_view word_of(ZoneState state) {
  switch (state) {
    case ZoneState::kFixed:
      return "fixed";
    case ZoneState::kApart:
      return "apart";
    case ZoneState::kUnsure:
      return "unsure";
    case ZoneState::kNoLine:
      return "no line";
  }
  return "";
}

Json of(const ZoneEnd& end) {
  return {{"load_kg", of(end.interval_kg, end.load_kg)},
          {"ended_by", end.limit == ZoneLimit::kPower ? "power" : "velocity"},
          {"velocity_mps", rounded(end.velocity_mps)}};
}

Json of(const std::optional<HungLoad>& load) {
  if (!load) return nullptr;
  return {{"bar_kg", rounded(load->bar_kg)},
          {"bottom_kg", rounded(load->bottom_kg)},
          {"mean_kg", rounded(load->mean_kg)},
          {"top_kg", rounded(load->top_kg)},
          {"discs_a_side", load->side ? Json(describe(*load->side)) : Json(nullptr)}};
}

Json words_of(const Profile& p, const Zone& zone) {
  Json out = Json::array({zone_headline(p, zone)});
  for (const std::string& words : zone_ends(p, zone)) {
    const std::string end = capital(words);
    out.push_back(end.ends_with('.') ? end : end + ".");
  }
  for (const ZoneLoads& loads : zone.loads) out.push_back(zone_loads_words(p, loads));
  if (zone.common) out.push_back(zone.common->words);
  if (zone.test) out.push_back("To fix it: " + zone.test->words);
  return out;
}

Json of(const Profile& p, const Zone& zone) {
  Json out = {{"state", word_of(zone.state)}, {"power_share", zone.power_share}};
  if (!zone.why.empty()) out["why"] = zone.why;
  out["band_mps"] = zone.band ? Json{zone.band->lowest_mps, zone.band->highest_mps} : Json(nullptr);
  if (zone.state != ZoneState::kNoLine) {
    out["low"] = of(zone.low);
    out["high"] = of(zone.high);
    out["best_load_kg"] = rounded(zone.best_load_kg);
    out["best_power_w"] = rounded(zone.best_power_w);
  }
  out["best_single_kg"] = or_null(zone.reference_kg);
  out["loads"] = Json::array();
  for (const ZoneLoads& l : zone.loads) {
    out["loads"].push_back({{"accommodating", l.setup.accommodating},
                            {"lightest", of(l.light)},
                            {"most_power", of(l.best)},
                            {"heaviest", of(l.heavy)}});
  }
  out["common_practice"] = nullptr;
  if (zone.common) {
    out["common_practice"] = {{"low_kg", rounded(zone.common->low_kg)},
                              {"high_kg", rounded(zone.common->high_kg)},
                              {"best_is_estimate", zone.common->best_is_estimate},
                              {"words", zone.common->words}};
  }
  out["test"] = zone.test ? Json(zone.test->words) : Json(nullptr);
  out["words"] = words_of(p, zone);
  return out;
}

std::string document(Json profiles) {
  const Json out = {{"format", "kinetics profiles"},
                    {"schema_version", kSchemaVersion},
                    {"profiles", std::move(profiles)}};
  return out.dump(2) + "\n";
}

std::string cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string variant_cells(const Profile& p) {
  return fmt::format("{},{},{},{}",
                     cell(p.variant.lifter),
                     cell(p.variant.lift),
                     cell(p.variant.bar),
                     p.variant.box_height_m ? fmt::format("{:.3f}", *p.variant.box_height_m) : "");
}

}  // namespace

std::string profiles_json(const std::vector<const Profile*>& profiles,
                          std::optional<int> even_loads) {
  Json list = Json::array();
  for (const Profile* p : profiles) list.push_back(of(*p, even_loads));
  return document(std::move(list));
}

std::string zones_json(const std::vector<ZoneOf>& zones, std::optional<int> even_loads) {
  Json list = Json::array();
  for (const ZoneOf& z : zones) {
    list.push_back(of(*z.profile, even_loads));
    list.back()["zone"] = of(*z.profile, z.zone);
  }
  return document(std::move(list));
}

std::string profiles_csv(const std::vector<const Profile*>& profiles) {
  std::string out =
      "lifter,lift,bar,box_height_m,day,session,set,rep,accommodating,stated_load_kg,axis,load_kg,"
      "velocity_mps,velocity_lo_mps,velocity_hi_mps,line_mps,line_lo_mps,line_hi_mps,set_lo_mps,"
      "set_hi_mps,recency,set_aside";
  out += kLineEnd;
  for (const Profile* p : profiles) {
    const VelocityLine* line = prediction_line(*p);
    for (const ProfilePoint& q : p->points) {
      out += fmt::format("{},{},{},{},{},{},{:.3f},{},{:.3f},{:.4f},{:.4f},{:.4f}",
                         variant_cells(*p),
                         q.day,
                         cell(q.session),
                         q.set,
                         q.rep,
                         cell(q.accommodating),
                         q.stated_load_kg,
                         in_words(p->axis),
                         q.load_kg,
                         q.velocity_mps,
                         q.velocity_mps - kNormal95 * q.velocity_sigma_mps,
                         q.velocity_mps + kNormal95 * q.velocity_sigma_mps);
      if (line != nullptr) {
        const VelocityAt at = velocity_at(*line, q.load_kg);
        out += fmt::format(",{:.4f},{:.4f},{:.4f},{:.4f},{:.4f}",
                           at.velocity_mps,
                           at.line_mps.lo,
                           at.line_mps.hi,
                           at.set_mps.lo,
                           at.set_mps.hi);
      } else {
        out += ",,,,,";
      }
      out += fmt::format(",{:.4f},{}{}", q.recency, q.set_aside ? "yes" : "no", kLineEnd);
    }
  }
  return out;
}

std::string zones_csv(const std::vector<ZoneOf>& zones) {
  std::string out =
      "lifter,lift,bar,box_height_m,state,accommodating,load,bar_kg,bottom_kg,mean_kg,top_kg,"
      "discs_a_side,velocity_mps,set_lo_mps,set_hi_mps";
  out += kLineEnd;
  for (const ZoneOf& z : zones) {
    const VelocityLine* line = prediction_line(*z.profile);
    const std::string start = variant_cells(*z.profile) + "," + std::string(word_of(z.zone.state));
    if (z.zone.loads.empty()) out += start + ",,,,,,,,,," + std::string(kLineEnd);
    for (const ZoneLoads& l : z.zone.loads) {
      const std::pair<const char*, const std::optional<HungLoad>*> named[] = {
          {"lightest", &l.light}, {"most power", &l.best}, {"heaviest", &l.heavy}};
      for (const auto& [name, load] : named) {
        if (!*load || line == nullptr) continue;
        const HungLoad& h = **load;
        const VelocityAt at = velocity_at(*line, h.mean_kg);
        out += fmt::format("{},{},{},{:.3f},{:.3f},{:.3f},{:.3f},{},{:.4f},{:.4f},{:.4f}{}",
                           start,
                           cell(l.setup.accommodating),
                           name,
                           h.bar_kg,
                           h.bottom_kg,
                           h.mean_kg,
                           h.top_kg,
                           h.side ? cell(describe(*h.side)) : "",
                           at.velocity_mps,
                           at.set_mps.lo,
                           at.set_mps.hi,
                           kLineEnd);
      }
    }
  }
  return out;
}

}  // namespace kinetics
