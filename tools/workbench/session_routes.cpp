#include <algorithm>
#include <charconv>
#include <limits>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/flags/finding.h"
#include "libkinetics/report/csv.h"
#include "libkinetics/report/json.h"
#include "libkinetics/report/plot.h"
#include "libkinetics/report/table.h"
#include "libkinetics/session/file_digest.h"
#include "tools/workbench/corrections.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

constexpr std::size_t kAll = std::numeric_limits<std::size_t>::max();

std::size_t number_in(const httplib::Request& request, const char* key, std::size_t otherwise) {
  if (!request.has_param(key)) return otherwise;
  const std::string text = request.get_param_value(key);
  std::size_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) {
    refuse_key(key, "it is no whole number");
  }
  return value;
}

/// Sessions never change: what was fetched once is good for ever, by the same program.
void reply_lasting(const httplib::Request& request,
                   httplib::Response& response,
                   const std::string& body,
                   const std::string& tag,
                   const std::string& type) {
  const std::string quoted = "\"" + tag + "\"";
  response.set_header("ETag", quoted);
  response.set_header("Cache-Control", "private, max-age=31536000, immutable");
  if (request.get_header_value("If-None-Match") == quoted) {
    response.status = 304;
    return;
  }
  reply_text(response, body, type);
}

Json rows_of(const Session& session) {
  Json rows = Json::array();
  for (const TableRow& row : table_rows(session)) {
    rows.push_back({{"set", row.set},
                    {"rep", row.rep},
                    {"start", row.start},
                    {"mean_velocity", row.mean_velocity},
                    {"peak_velocity", row.peak_velocity},
                    {"range", row.range},
                    {"loss", row.loss},
                    {"flags", row.flags}});
  }
  return rows;
}

Json name_or_null(const std::string& path) {
  return path.empty() ? Json(nullptr) : Json(std::filesystem::path(path).filename().string());
}

Json about(Parts& parts, const std::string& id) {
  const auto session = parts.store.load(id);
  const std::string newest = parts.store.replaced_by(id);
  const ClipInfo& clip = session->clip;
  const std::string clip_path = parts.store.clip_path(*session);
  Json findings = Json::array();
  for (const Finding& finding : session->findings) findings.push_back(in_a_sentence(finding));
  const bool can_show = !clip_path.empty();
  return {{"id", id},
          {"table", to_table(*session)},
          {"rows", rows_of(*session)},
          {"set_sentences", set_sentences(session->reps)},
          {"finding_sentences", std::move(findings)},
          {"cautions", usual_cautions()},
          {"replaced_by", newest.empty() ? Json(nullptr) : Json(newest)},
          {"newest", newest.empty() ? id : newest},
          {"frames", can_show ? session->disc.sightings.size() : 0},
          {"width_px", std::lround(clip.width_px * std::max(clip.pixel_aspect, 1.0))},
          {"height_px", std::lround(clip.height_px / std::min(clip.pixel_aspect, 1.0))},
          {"clip_file", name_or_null(clip_path)},
          {"log_file", name_or_null(parts.store.log_path(*session))},
          {"can_undo", can_undo(*session)},
          {"corrections", history_of(*session)},
          {"day_recording", name_or_null(parts.days.of_session(*session, id))}};
}

void send_picture(Parts& parts, const httplib::Request& request, httplib::Response& response) {
  const std::string id = request.matches[1];
  const auto session = parts.store.load(id);
  const std::string clip = parts.store.clip_path(*session);
  if (clip.empty()) {
    throw Refusal(404,
                  "not_found",
                  session->provenance.source_name,
                  "it does not lie in the logbook, so no picture can be shown",
                  "Upload it again under this name");
  }
  constexpr std::size_t kWidest = 4096;
  constexpr std::size_t kUsual = 960;
  const std::size_t width =
      std::clamp<std::size_t>(number_in(request, "width", kUsual), 64, kWidest);
  const std::string number = request.matches[2];
  std::int64_t index = -1;
  std::from_chars(number.data(), number.data() + number.size(), index);
  // The limit is on the longer side; a clip filmed upright is taller than wide.
  const ClipInfo& info = session->clip;
  const double shape = info.height_px / (info.width_px * info.pixel_aspect);
  const int longest =
      static_cast<int>(std::lround(static_cast<double>(width) * std::max(shape, 1.0)));
  const auto jpeg = parts.pictures.jpeg(*session, clip, index, longest);
  reply_lasting(request, response, *jpeg, fmt::format("{}-{}-{}", id, index, width), "image/jpeg");
}

void tell_sessions(Parts& parts, const std::string& id) {
  parts.events.tell("sessions", text_of({{"id", id}}));
}

std::string store(Parts& parts, const std::string& id, const Corrected& made) {
  std::string fresh = parts.store.store_corrected(made.session, id, made.changes);
  tell_sessions(parts, fresh);
  return fresh;
}

Json brief(const Session& session) {
  return Json::parse(to_json(session, 0));
}

/// A set of a whole day is a part of its recording, which is watched as a whole.
void refuse_seed_of_day(Parts& parts, const std::string& id) {
  if (parts.days.of_session(*parts.store.load(id), id).empty()) return;
  throw Refusal(409,
                "conflict",
                "seed",
                "this set was cut out of a whole day's recording, in which the disc is found anew "
                "for each stretch",
                "Cut the set out as a clip of its own and add that, or put its reps right by hand");
}

void correct(Parts& parts, const httplib::Request& request, httplib::Response& response) {
  const std::string id = request.matches[1];
  const Json body = object_of(request);
  const bool preview = request.get_param_value("preview") == "1";
  if (body.contains("kind") && body["kind"] == "seed") refuse_seed_of_day(parts, id);
  if (std::optional<JobRequest> job = job_for(parts.store, id, body)) {
    if (preview) refuse_key("preview", "this correction needs the clip again");
    reply(response, 202, {{"job", to_json(parts.jobs->add(std::move(*job)))}});
    return;
  }
  const Corrected made = corrected(parts.folder, parts.store, id, body);
  if (preview) {
    reply(response, 200, {{"session", brief(made.session)}, {"rows", rows_of(made.session)}});
    return;
  }
  const std::string fresh = store(parts, id, made);
  reply(response, 201, {{"id", fresh}, {"session", brief(*parts.store.load(fresh))}});
}

void undo(Parts& parts, const httplib::Request& request, httplib::Response& response) {
  const std::string id = request.matches[1];
  const std::string fresh = store(parts, id, taken_back(parts.store, id));
  reply(response, 201, {{"id", fresh}, {"session", brief(*parts.store.load(fresh))}});
}

void add_reads(Router& router, Parts& parts) {
  router.get("/api/sessions", [&](const auto& request, auto& response) {
    reply_text(response,
               *parts.store.list(request.get_param_value("all") == "1"),
               "application/json; charset=utf-8");
  });
  router.get("/api/sessions/([^/]+)", [&](const auto& request, auto& response) {
    const std::size_t most = number_in(request, "samples", kAll);
    const std::string id = request.matches[1];
    const auto text = parts.store.json(id, most);
    reply_lasting(request,
                  response,
                  *text,
                  sha256_of(fmt::format("{} {} {}", id, most, text->size())).substr(0, 16),
                  "application/json; charset=utf-8");
  });
  router.get("/api/sessions/([^/]+)/about", [&](const auto& request, auto& response) {
    reply(response, 200, about(parts, request.matches[1]));
  });
  router.get("/api/sessions/([^/]+)/disc", [&](const auto& request, auto& response) {
    const std::string id = request.matches[1];
    const std::string text = disc_to_json(*parts.store.load(id));
    reply_lasting(request,
                  response,
                  text,
                  sha256_of(id + " disc").substr(0, 16),
                  "application/json; charset=utf-8");
  });
  router.get("/api/sessions/([^/]+)/frames/([0-9]{1,9})\\.jpg",
             [&](const auto& request, auto& response) { send_picture(parts, request, response); });
}

void add_exports(Router& router, Parts& parts) {
  router.get("/api/sessions/([^/]+)/export\\.csv", [&](const auto& request, auto& response) {
    const std::string id = request.matches[1];
    reply_text(response, to_csv(*parts.store.load(id)), "text/csv; charset=utf-8");
    attach(response, id, "csv");
  });
  router.get("/api/sessions/([^/]+)/export\\.json", [&](const auto& request, auto& response) {
    const std::string id = request.matches[1];
    reply_text(response, to_json(*parts.store.load(id)), "application/json; charset=utf-8");
    attach(response, id, "json");
  });
  router.get("/api/sessions/([^/]+)/plot\\.svg", [&](const auto& request, auto& response) {
    const std::string id = request.matches[1];
    reply_text(response, to_svg(*parts.store.load(id)), "image/svg+xml");
    attach(response, id, "svg");
  });
}

}  // namespace

void add_session_routes(Router& router, Parts& parts) {
  add_reads(router, parts);
  add_exports(router, parts);
  router.post("/api/sessions/([^/]+)/corrections",
              [&](const auto& request, auto& response) { correct(parts, request, response); });
  router.post("/api/sessions/([^/]+)/undo",
              [&](const auto& request, auto& response) { undo(parts, request, response); });
}

}  // namespace kinetics::workbench
