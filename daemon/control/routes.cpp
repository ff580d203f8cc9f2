#include "control/routes.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "config/batch_file.h"
#include "control/alert_routes.h"
#include "control/batch_reference.h"
#include "control/json_answer.h"
#include "control/request_target.h"
#include "control/sample_request.h"
#include "control/sensor_routes.h"
#include "control/view_json.h"
#include "reports/curve_csv.h"
#include "units/quantity_text.h"
#include "wording/explanation.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"
#include "wording/sample_lines.h"
#include "wording/status_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

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

  // A moment in the query, as RFC 3339.
  Result<std::optional<Time>> time(std::string_view name) const {
    const auto text = query(name);
    if (!text) return std::optional<Time>();
    BOOST_OUTCOME_TRY(parsed, parse_rfc3339(*text));
    return std::optional(parsed);
  }

  Json batch_json(const BatchRecord& batch) const {
    Json json = to_json(batch);
    const Time now = batch.packaged.value_or(cellar.daemon().now);
    auto lines = status_lines(batch.vessel, batch.spec, batch.view, display, now);
    if (!batch.unreadable.empty()) {
      lines[1] = "not watched: its description is unreadable";
      lines[2] = "the daemon's log says what to do";
    }
    json["lines"] = lines;
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
  Json daemon = to_json(call.cellar.daemon());
  daemon["time_zone"] = call.display.time_zone;
  return json_response({{"daemon", std::move(daemon)}, {"batches", call.batches_json(false)}});
}

HttpResponse pitch(const Call& call) {
  const auto vessel = call.query("vessel");
  if (!vessel || vessel->empty()) return problem(400, "say which vessel: ?vessel=NAME");
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "application/toml") {
    return problem(415, "the batch must be sent as application/toml");
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
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto packaged = call.cellar.package(batch.id, time.value());
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

HttpResponse explain(const Call& call, const BatchRecord& batch) {
  const auto told = call.cellar.alerts(batch.id);
  if (!told) return problem(told.error());
  std::vector<ToldDecision> decisions;
  Json list = Json::array();
  for (const ToldAlert& alert : told.value()) {
    decisions.push_back({alert.decision, alert.text});
    list.push_back(to_json(alert));
  }
  const Time now = batch.packaged.value_or(call.cellar.daemon().now);
  Json paragraphs = Json::array();
  Json lines = Json::array();
  for (const Paragraph& one : explanation(batch.spec, batch.view, decisions, call.display, now)) {
    paragraphs.push_back({{"heading", one.heading}, {"sentences", one.sentences}});
    lines.push_back(one.heading);
    for (const std::string& sentence : one.sentences) lines.push_back("  " + sentence);
  }
  return json_response({{"batch", batch.spec.name},
                        {"lines", std::move(lines)},
                        {"paragraphs", std::move(paragraphs)},
                        {"view", to_json(batch.view)},
                        {"alerts", std::move(list)}});
}

Result<WhatIf> question_of(const Call& call) {
  WhatIf question;
  BOOST_OUTCOME_TRY(ready_by, call.time("ready_by"));
  question.ready_by = ready_by;
  BOOST_OUTCOME_TRY(from, call.time("from"));
  if (const auto hold = call.query("hold")) {
    BOOST_OUTCOME_TRY(temperature, parse_temperature(*hold));
    if (temperature < Celsius{0} || temperature > Celsius{40}) {
      return fail(Errc::out_of_range, "no yeast ferments at that temperature; a hold is from 0 to 40 °C");
    }
    question.hold = HypotheticalHold{temperature, from.value_or(call.cellar.daemon().now)};
  } else if (from) {
    return fail(Errc::missing, "'from' is when a hold begins; say which, as hold=22 Cel");
  }
  return question;
}

HttpResponse forecast(const Call& call, const BatchRecord& batch) {
  const auto question = question_of(call);
  if (!question) return problem(question.error());
  const auto planned = call.cellar.outlook(batch.id, {{}, question.value().ready_by});
  if (!planned) return problem(planned.error());
  std::optional<Outlook> supposed;
  if (question.value().hold) {
    const auto answer = call.cellar.outlook(batch.id, question.value());
    if (!answer) return problem(answer.error());
    supposed = answer.value();
  }
  Json json{{"batch", batch.spec.name},
            {"lines", outlook_lines(batch.spec, question.value(), planned.value(), supposed, call.display)},
            {"forecast", to_json(planned.value())}};
  if (supposed) json["with_hold"] = to_json(*supposed);
  return json_response(json);
}

HttpResponse take_sample(const Call& call, const BatchRecord& before) {
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto gravity = sample_gravity(call.target.query, before.spec.original_gravity);
  if (!gravity) return problem(gravity.error());
  const auto after = call.cellar.sample(before.id, gravity.value(), time.value());
  if (!after) return problem(after.error());
  return json_response(
      {{"batch", before.spec.name},
       {"lines", sample_lines(gravity.value(), before.view, after.value().view, call.display)},
       {"gravity_sg", gravity.value().value()},
       {"before", to_json(before.view)},
       {"after", to_json(after.value().view)}},
      201);
}

HttpResponse whole(const Call& call, const BatchRecord& batch) {
  return json_response(call.batch_json(batch));
}

struct BatchPart {
  std::string_view name;
  const char* method;
  HttpResponse (*answer)(const Call&, const BatchRecord&);
  bool judges;  // needs a batch that is watched
};
constexpr BatchPart kBatchParts[] = {
    {"", "GET", whole, false},
    {"package", "POST", package, false},
    {"curve", "GET", curve, true},
    {"alerts", "GET", alerts, false},
    {"explanation", "GET", explain, true},
    {"forecast", "GET", forecast, true},
    {"samples", "POST", take_sample, true},
};

HttpResponse of_batch(const Call& call) {
  const auto& segments = call.target.segments;
  const std::string_view name = segments.size() == 4 ? std::string_view(segments[3]) : "";
  for (const BatchPart& part : kBatchParts) {
    if (part.name != name || segments.size() > 4) continue;
    if (!call.is(part.method)) return wrong_method(part.method);
    const auto batch = find_batch(call.cellar.batches(), segments[2]);
    if (!batch) return problem(batch.error());
    if (part.judges && !batch.value().unreadable.empty()) {
      return problem(409, fmt::format("the batch \"{}\" is not watched, for its description cannot be "
                                      "read: {}; the daemon's log says what to do",
                                      batch.value().spec.name, batch.value().unreadable));
    }
    return part.answer(call, batch.value());
  }
  return problem(404, "there is nothing at this address");
}

HttpResponse route(const Call& call) {
  const auto& segments = call.target.segments;
  if (segments.size() < 2 || segments[0] != "v1") return problem(404, "there is nothing at this address");
  const std::string& room = segments[1];
  if (room == "batches" && segments.size() > 2) return of_batch(call);
  if (room == "alerts" || room == "channels") {
    return respond_about_alerts(call.request, call.target, call.cellar, call.display);
  }
  if (segments.size() > 2) return problem(404, "there is nothing at this address");
  if (room == "batches" && call.is("POST")) return pitch(call);
  if (room == "batches" && !call.is("GET")) return wrong_method("GET, POST");
  if (room == "batches") return json_response({{"batches", call.batches_json(true)}});
  if (room != "status" && room != "sensors" && room != "refusals") {
    return problem(404, "there is nothing at this address");
  }
  if (!call.is("GET")) return wrong_method("GET");
  if (room == "status") return status(call);
  return room == "sensors" ? respond_about_sensors(call.cellar, call.display)
                           : respond_about_refusals(call.target, call.cellar, call.display);
}

}  // namespace

HttpResponse respond(const HttpRequest& request, Cellar& cellar, const DisplaySettings& display) {
  const auto target = parse_request_target(request.target);
  if (!target) return problem(target.error());
  return route(Call{request, target.value(), cellar, display});
}

}  // namespace gyle
