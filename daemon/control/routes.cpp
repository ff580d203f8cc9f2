#include "control/routes.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "config/batch_file.h"
#include "control/batch_reference.h"
#include "control/request_target.h"
#include "control/view_json.h"
#include "reports/curve_csv.h"
#include "wording/format.h"
#include "wording/status_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

// Names come from sensors, too: bytes that are not UTF-8 become U+FFFD.
std::string text_of(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

HttpResponse json_response(const Json& json, int status = 200) {
  return {.status = status, .body = text_of(json) + "\n"};
}

const char* status_phrase(int status) {
  switch (status) {
    case 400:
      return "Bad Request";
    case 403:
      return "Forbidden";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 409:
      return "Conflict";
    case 413:
      return "Content Too Large";
    case 415:
      return "Unsupported Media Type";
    case 422:
      return "Unprocessable Content";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    default:
      return "Internal Server Error";
  }
}

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

HttpResponse problem(const Error& error) { return gyle::problem(status_of(error.code), error.message); }

HttpResponse wrong_method(const char* allowed) {
  HttpResponse response = gyle::problem(405, fmt::format("this address takes {}", allowed));
  response.headers.emplace_back("Allow", allowed);
  return response;
}

// One request with all it may touch.
struct Call {
  const HttpRequest& request;
  const RequestTarget& target;
  Cellar& cellar;
  const DisplaySettings& display;

  bool is(const char* method) const { return request.method == method; }

  std::optional<std::string> query(std::string_view name) const {
    const auto found = target.query.find(name);
    return found == target.query.end() ? std::nullopt : std::optional(found->second);
  }

  Json batch_json(const BatchRecord& batch) const {
    Json json = to_json(batch);
    const Time now = batch.packaged.value_or(cellar.daemon().now);
    json["lines"] = status_lines(batch.vessel, batch.spec, batch.view, display, now);
    return json;
  }

  Json batches_json(bool packaged_too) const {
    Json list = Json::array();
    for (const BatchRecord& batch : cellar.batches()) {
      if (packaged_too || !batch.packaged) list.push_back(batch_json(batch));
    }
    return list;
  }
};

HttpResponse status(const Call& call) {
  return json_response({{"daemon", to_json(call.cellar.daemon())}, {"batches", call.batches_json(false)}});
}

HttpResponse sensors(const Call& call) {
  Json list = Json::array();
  for (const SensorRecord& sensor : call.cellar.sensors()) list.push_back(to_json(sensor));
  return json_response({{"sensors", std::move(list)}});
}

HttpResponse refusals(const Call& call) {
  constexpr unsigned kMost = 1000;
  unsigned limit = 20;
  if (const auto text = call.query("limit")) {
    const char* const end = text->data() + text->size();
    const auto [stop, error] = std::from_chars(text->data(), end, limit);
    if (error != std::errc{} || stop != end || limit > kMost) {
      return gyle::problem(400, fmt::format("limit must be a whole number from 0 to {}", kMost));
    }
  }
  return json_response(to_json(call.cellar.refusals(limit)));
}

HttpResponse pitch(const Call& call) {
  const auto vessel = call.query("vessel");
  if (!vessel || vessel->empty()) return gyle::problem(400, "say which vessel: ?vessel=NAME");
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "application/toml") {
    return gyle::problem(415, "the batch must be sent as application/toml");
  }
  const auto spec = parse_batch(call.request.body, "batch");
  if (!spec) return problem(spec.error());
  const auto batch = call.cellar.pitch(*vessel, spec.value());
  if (!batch) return problem(batch.error());
  HttpResponse response = json_response(call.batch_json(batch.value()), 201);
  response.headers.emplace_back("Location", fmt::format("/v1/batches/{}", batch.value().id));
  return response;
}

HttpResponse package(const Call& call, const BatchRecord& batch) {
  std::optional<Time> time;
  if (const auto text = call.query("time")) {
    const auto parsed = parse_rfc3339(*text);
    if (!parsed) return problem(parsed.error());
    time = parsed.value();
  }
  const auto packaged = call.cellar.package(batch.id, time);
  return packaged ? json_response(call.batch_json(packaged.value())) : problem(packaged.error());
}

HttpResponse curve(const Call& call, const BatchRecord& batch) {
  const auto points = call.cellar.curve(batch.id);
  if (!points) return problem(points.error());
  HttpResponse response{.content_type = "text/csv; charset=utf-8; header=present",
                        .body = curve_csv_header()};
  for (const CurvePoint& point : points.value()) response.body += curve_csv_row(point);
  return response;
}

HttpResponse alerts(const Call& call, const BatchRecord& batch) {
  const auto told = call.cellar.alerts(batch.id);
  if (!told) return problem(told.error());
  Json list = Json::array();
  for (const ToldAlert& alert : told.value()) {
    Json json = to_json(alert);
    json["line"] = fmt::format("{}  {}", show_time(alert.decision.time, call.display), alert.text);
    list.push_back(std::move(json));
  }
  return json_response({{"batch", batch.spec.name}, {"alerts", std::move(list)}});
}

HttpResponse of_batch(const Call& call) {
  const auto& segments = call.target.segments;
  const std::string part = segments.size() == 4 ? segments[3] : "";
  const bool known = segments.size() == 3 || part == "package" || part == "curve" || part == "alerts";
  if (segments.size() > 4 || !known) return gyle::problem(404, "there is nothing at this address");
  const char* const method = part == "package" ? "POST" : "GET";
  if (!call.is(method)) return wrong_method(method);
  const auto batch = find_batch(call.cellar.batches(), segments[2]);
  if (!batch) return problem(batch.error());
  if (part == "package") return package(call, batch.value());
  if (part == "curve") return curve(call, batch.value());
  if (part == "alerts") return alerts(call, batch.value());
  return json_response(call.batch_json(batch.value()));
}

HttpResponse route(const Call& call) {
  const auto& segments = call.target.segments;
  if (segments.size() < 2 || segments[0] != "v1")
    return gyle::problem(404, "there is nothing at this address");
  const std::string& room = segments[1];
  if (room == "batches" && segments.size() > 2) return of_batch(call);
  if (segments.size() > 2) return gyle::problem(404, "there is nothing at this address");
  if (room == "batches" && call.is("POST")) return pitch(call);
  if (room == "batches" && !call.is("GET")) return wrong_method("GET, POST");
  if (room == "batches") return json_response({{"batches", call.batches_json(true)}});
  if (room != "status" && room != "sensors" && room != "refusals") {
    return gyle::problem(404, "there is nothing at this address");
  }
  if (!call.is("GET")) return wrong_method("GET");
  if (room == "status") return status(call);
  return room == "sensors" ? sensors(call) : refusals(call);
}

}  // namespace

HttpResponse problem(int status, const std::string& detail) {
  // Without a type of its own a problem is about:blank, whose title is the phrase of its status.
  return {.status = status,
          .content_type = "application/problem+json",
          .body = text_of({{"title", status_phrase(status)}, {"status", status}, {"detail", detail}}) + "\n"};
}

HttpResponse respond(const HttpRequest& request, Cellar& cellar, const DisplaySettings& display) {
  const auto target = parse_request_target(request.target);
  if (!target) return problem(target.error());
  return route(Call{request, target.value(), cellar, display});
}

}  // namespace gyle
