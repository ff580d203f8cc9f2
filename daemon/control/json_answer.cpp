#include "control/json_answer.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/http_status.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

// Names come from sensors, too: bytes that are not UTF-8 become U+FFFD.
std::string text_of(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

int status_of(Errc code) {
  switch (code) {
    case Errc::malformed:
    case Errc::missing:
      return 400;
    case Errc::out_of_range:
      return 422;
    case Errc::not_found:
      return 404;
    case Errc::conflict:
    case Errc::too_few:
      return 409;
    case Errc::refused:
      return 403;
    case Errc::unavailable:
    case Errc::storage:
      return 503;
  }
  return 500;
}

}  // namespace

HttpResponse json_response(const nlohmann::ordered_json& json, int status) {
  return {.status = status, .body = text_of(json) + "\n"};
}

HttpResponse problem(int status, const std::string& detail) {
  // Without a type of its own a problem is about:blank, whose title is the phrase of its status.
  return {.status = status,
          .content_type = "application/problem+json",
          .body = text_of({{"title", http_reason(status)}, {"status", status}, {"detail", detail}}) + "\n"};
}

HttpResponse problem(const Error& error) { return problem(status_of(error.code), error.message); }

HttpResponse wrong_method(const char* allowed) {
  HttpResponse response = problem(405, fmt::format("this address takes {}", allowed));
  response.headers.emplace_back("Allow", allowed);
  return response;
}

}  // namespace gyle
