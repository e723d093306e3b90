#pragma once

#include <exception>
#include <stdexcept>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "libkinetics/core/error.h"
#include "tools/workbench/http.h"

/// What the server answers: JSON, and every error in one shape.

namespace kinetics::workbench {

using Json = nlohmann::ordered_json;

/// A request that cannot be served, with the HTTP status that says so. Words as in kinetics::Error.
struct Refusal : std::runtime_error {
  Refusal(int http_status,
          std::string error_code,
          std::string error_where,
          std::string error_what,
          std::string error_mend,
          Json more = Json::object());

  int status;
  std::string code;
  std::string where;
  std::string problem;
  std::string mend;
  Json beside;  ///< keys that stand next to "error"
};

[[nodiscard]] Refusal not_found(const std::string& where, const std::string& what);

void reply(httplib::Response& response, int status, const Json& body);
void reply_text(httplib::Response& response, const std::string& body, const std::string& type);

/// A page that carries its style within it and needs nothing else: the library's, to print.
void reply_own_page(httplib::Response& response, const std::string& html);

/// The answer is to be kept as a file: "ID.csv".
void attach(httplib::Response& response, const std::string& id, const std::string& ending);

/// Answers with whatever is being thrown: a Refusal, a kinetics::Error, or a fault of our own.
void reply_error(httplib::Response& response, std::exception_ptr thrown);

/// {"code", "where", "what", "mend"}
[[nodiscard]] Json error_json(const Refusal& refusal);
[[nodiscard]] Json error_json(const kinetics::Error& error);

/// Whether the disk, or what this user may fill of it, ran out.
[[nodiscard]] bool is_no_space(const kinetics::Error& error);

/// The words of the API for a kind of error.
[[nodiscard]] std::string_view code_word(ErrorCode code);

/// Text that is JSON whatever bytes a file name holds.
[[nodiscard]] std::string text_of(const Json& value);

/// The request's body as an object. Throws Refusal 400.
[[nodiscard]] Json object_of(const httplib::Request& request);

/// A key that must, or may, be there with a value of this type. Throws Refusal 400 naming the key.
template <typename T>
[[nodiscard]] T needed(const Json& object, const char* key);
template <typename T>
[[nodiscard]] T value_or(const Json& object, const char* key, T fallback);

[[noreturn]] void refuse_key(const char* key, const std::string& what);

template <typename T>
T needed(const Json& object, const char* key) {
  if (!object.contains(key)) refuse_key(key, "it is missing");
  try {
    return object.at(key).get<T>();
  } catch (const nlohmann::json::exception&) {
    refuse_key(key, "it is of the wrong kind");
  }
}

template <typename T>
T value_or(const Json& object, const char* key, T fallback) {
  if (!object.contains(key) || object.at(key).is_null()) return fallback;
  return needed<T>(object, key);
}

}  // namespace kinetics::workbench
