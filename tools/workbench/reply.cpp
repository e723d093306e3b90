#include "tools/workbench/reply.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <memory>
#include <new>
#include <utility>

#include <fmt/format.h>

namespace kinetics::workbench {
namespace {

int status_of(const kinetics::Error& error) {
  switch (error.code()) {
    case ErrorCode::kUsage:
      return 400;
    case ErrorCode::kUnreadable:
    case ErrorCode::kNothingToTrack:
      return 422;
    case ErrorCode::kInternal:
      return is_no_space(error) ? 507 : 500;
  }
  return 500;
}

}  // namespace

bool is_no_space(const kinetics::Error& error) {
  for (const int number : {ENOSPC, EDQUOT, EFBIG}) {
    if (error.problem().find(std::strerror(number)) != std::string::npos) return true;
  }
  return false;
}

Refusal::Refusal(int http_status,
                 std::string error_code,
                 std::string error_where,
                 std::string error_what,
                 std::string error_mend,
                 Json more)
    : std::runtime_error(error_what),
      status(http_status),
      code(std::move(error_code)),
      where(std::move(error_where)),
      problem(std::move(error_what)),
      mend(std::move(error_mend)),
      beside(std::move(more)) {}

Refusal not_found(const std::string& where, const std::string& what) {
  return {404, "not_found", where, what, "Reload the page"};
}

std::string_view code_word(ErrorCode code) {
  switch (code) {
    case ErrorCode::kUsage:
      return "usage";
    case ErrorCode::kUnreadable:
      return "unreadable";
    case ErrorCode::kNothingToTrack:
      return "nothing_to_track";
    case ErrorCode::kInternal:
      return "internal";
  }
  return "internal";
}

std::string text_of(const Json& value) {
  return value.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Json error_json(const Refusal& refusal) {
  return {{"code", refusal.code},
          {"where", refusal.where},
          {"what", refusal.problem},
          {"mend", refusal.mend}};
}

Json error_json(const kinetics::Error& error) {
  if (is_no_space(error)) {
    return {{"code", "no_space"},
            {"where", error.where()},
            {"what", "the disk is full, so it was not stored"},
            {"mend", "Free some space on it and try again; nothing stored before is lost"}};
  }
  return {{"code", code_word(error.code())},
          {"where", error.where()},
          {"what", error.problem()},
          {"mend", error.mend()}};
}

void reply(httplib::Response& response, int status, const Json& body) {
  response.status = status;
  response.set_content(text_of(body), "application/json; charset=utf-8");
}

void reply_text(httplib::Response& response, const std::string& body, const std::string& type) {
  response.status = 200;
  if (body.empty()) return response.set_content(body, type);
  // Handed over in one piece, httplib would compress it by Brotli's slowest way: a second for the
  // page's script, which goes over loopback in no time.
  const auto text = std::make_shared<const std::string>(body);
  response.set_content_provider(
      text->size(), type, [text](std::size_t at, std::size_t length, httplib::DataSink& sink) {
        return sink.write(text->data() + at, length);
      });
}

void reply_own_page(httplib::Response& response, const std::string& html) {
  response.set_header("Content-Security-Policy",
                      "default-src 'none'; style-src 'unsafe-inline'; img-src data:");
  reply_text(response, html, "text/html; charset=utf-8");
}

void reply_error(httplib::Response& response, std::exception_ptr thrown) {
  try {
    std::rethrow_exception(std::move(thrown));
  } catch (const Refusal& refusal) {
    Json body = {{"error", error_json(refusal)}};
    for (const auto& [key, value] : refusal.beside.items()) body[key] = value;
    reply(response, refusal.status, body);
  } catch (const kinetics::Error& error) {
    reply(response, status_of(error), {{"error", error_json(error)}});
  } catch (const std::bad_alloc&) {
    reply_error(response,
                std::make_exception_ptr(Refusal(
                    500, "internal", "", "memory ran out", "Close other programs and try again")));
  } catch (const std::exception& error) {
    reply_error(
        response,
        std::make_exception_ptr(Refusal(
            500, "internal", "", error.what(), "This is a fault in kinetics; please report it")));
  }
}

void refuse_key(const char* key, const std::string& what) {
  throw Refusal(400, "usage", key, what, "Reload the page, or see the description of the request");
}

Json object_of(const httplib::Request& request) {
  // Writing JSON takes stack for every level; nothing that is asked for here is nested so deeply.
  constexpr int kDeepest = 32;
  const auto shallow = [](int depth, Json::parse_event_t /*event*/, const Json& /*value*/) {
    if (depth > kDeepest) refuse_key("request", "its body is nested too deeply");
    return true;
  };
  Json body = Json::parse(request.body.empty() ? "{}" : request.body, shallow, false);
  if (!body.is_object()) {
    throw Refusal(400, "usage", "request", "its body is no JSON object", "Reload the page");
  }
  return body;
}

void attach(httplib::Response& response, const std::string& id, const std::string& ending) {
  std::string name = id;
  std::replace_if(
      name.begin(),
      name.end(),
      [](char c) { return c == '"' || c == '\\' || (c & '\x80') != 0; },
      '_');
  response.set_header("Content-Disposition",
                      fmt::format("attachment; filename=\"{}.{}\"", name, ending));
}

}  // namespace kinetics::workbench
