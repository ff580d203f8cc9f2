#include "control/batch_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <span>

#include "base/rfc3339.h"
#include "base/text.h"
#include "config/batch_file.h"
#include "control/addition_routes.h"
#include "control/fill_routes.h"
#include "control/json_answer.h"
#include "control/note_routes.h"
#include "control/paging.h"
#include "control/reference.h"
#include "control/sample_routes.h"
#include "control/series_json.h"
#include "control/view_json.h"
#include "reports/curve_csv.h"
#include "units/quantity_text.h"
#include "wording/batch_table.h"
#include "wording/explanation.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"
#include "wording/packaging_lines.h"
#include "wording/status_lines.h"
#include "wording/yeast_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostExplained = 200;  // alerts, the newest; GET alerts has all

// Which batches are requested.
struct Search {
  std::string name;   // as of folded()
  std::string yeast;  // as of folded()
  std::optional<Time> since;
  std::optional<Time> until;

  bool finds(const BatchRecord& batch) const {
    return folded(batch.spec.name).find(name) != std::string::npos &&
           folded(batch.spec.yeast.name).find(yeast) != std::string::npos &&
           (!since || batch.spec.pitched >= *since) && (!until || batch.spec.pitched < *until);
  }
};

Result<Search> search_of(const Call& call) {
  Search search{folded(call.query("name").value_or("")), folded(call.query("yeast").value_or("")), {}, {}};
  BOOST_OUTCOME_TRY(since, call.time("since"));
  BOOST_OUTCOME_TRY(until, call.time("until"));
  search.since = since;
  search.until = until;
  return search;
}

HttpResponse list_batches(const Call& call) {
  const auto query = page_query(call, 100, 200);
  if (!query) return problem(query.error());
  const auto search = search_of(call);
  if (!search) return problem(search.error());
  Page page(query.value());
  std::vector<ListedBatch> listed;
  auto batches = call.cellar.batches();
  const auto cursor_of = [](const BatchRecord& batch) {
    return Cursor{batch.spec.pitched.time_since_epoch().count(), batch.id};
  };
  std::sort(batches.begin(), batches.end(),
            [&](const BatchRecord& a, const BatchRecord& b) { return cursor_of(a) < cursor_of(b); });
  for (const BatchRecord& batch : batches) {
    if (query.value().after && cursor_of(batch) <= *query.value().after) continue;
    if (!search.value().finds(batch)) continue;
    if (!page.add(batch_json(call, batch), cursor_of(batch))) break;
    listed.push_back({batch.id, batch.vessel, &batch.spec, &batch.view, batch.packaged});
  }
  Json json{{"lines", batch_table(listed, call.display)}};
  page.put(json, "batches");
  return json_response(json);
}

// The brewer's clock may be a little ahead of the daemon's. A daemon that follows the time of its messages
// has none before the first.
Status not_ahead(const Call& call, Time time, const char* what) {
  constexpr Duration kSlack = minutes(5);
  const Time now = call.cellar.daemon().now;
  if (now == Time{} || time <= now + kSlack) return success();
  return fail(Errc::out_of_range,
              fmt::format("{} at {} lies in the future; it is {} now", what,
                          show_time_from(time, call.display, now), show_time(now, call.display)));
}

HttpResponse pitch(const Call& call) {
  const auto vessel = call.query("vessel");
  if (!vessel || vessel->empty()) return problem(400, "say which vessel: ?vessel=NAME");
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "application/toml") {
    return problem(415, "the batch must be sent as application/toml");
  }
  const auto spec = parse_batch(call.request.body, "batch");
  if (!spec) return problem(spec.error());
  if (const auto past = not_ahead(call, spec.value().pitched, "a pitch"); !past) return problem(past.error());
  const auto batch = call.cellar.pitch(*vessel, spec.value());
  return batch ? new_batch(call, batch.value()) : problem(batch.error());
}

HttpResponse package(const Call& call, const BatchRecord& batch) {
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  if (time.value()) {
    if (const auto past = not_ahead(call, *time.value(), "a packaging"); !past) return problem(past.error());
  }
  const auto packaged = call.cellar.package(batch.id, time.value());
  if (!packaged) return problem(packaged.error());
  Json json = batch_json(call, packaged.value());
  const std::string caution =
      left_early_sentence(packaged.value().view, call.display, packaged.value().packaged.value_or(Time{}));
  if (!caution.empty()) json["caution"] = caution;
  return json_response(json);
}

// A page ends between two moments, so that its cursor is a moment.
HttpResponse curve(const Call& call, const BatchRecord& batch) {
  constexpr int kMost = 10'000;  // below 1 MB
  const auto query = page_query(call, kMost, kMost);
  if (!query) return problem(query.error());
  const auto trace = call.cellar.trace(batch.id);
  if (!trace) return problem(trace.error());
  const std::vector<CurvePoint>& points = trace.value()->curve();
  auto point = points.begin();
  if (const auto& after = query.value().after) {
    point = std::upper_bound(points.begin(), points.end(), Time(Duration(after->major)),
                             [](Time time, const CurvePoint& p) { return time < p.time; });
  }
  HttpResponse response{.content_type = "text/csv; charset=utf-8; header=present",
                        .body = curve_csv_header()};
  std::size_t rows = 0;
  for (; point != points.end(); ++point) {
    if (rows++ >= query.value().limit && point->time != (point - 1)->time) {
      const Cursor cursor{(point - 1)->time.time_since_epoch().count(), 0};
      response.headers.emplace_back(
          "Link", fmt::format("</v1/batches/%23{}/curve?cursor={}&limit={}>; rel=\"next\"", batch.id,
                              cursor_text(cursor), query.value().limit));
      break;
    }
    response.body += curve_csv_row(*point);
  }
  return response;
}

HttpResponse series(const Call& call, const BatchRecord& batch) {
  SeriesQuery query;
  const auto from = call.time("from");
  if (!from) return problem(from.error());
  const auto to = call.time("to");
  if (!to) return problem(to.error());
  const auto points = call.number("points", 50, 2000);
  if (!points) return problem(points.error());
  query.from = from.value();
  query.to = to.value();
  if (query.from && query.to && *query.from >= *query.to) return problem(400, "'from' must be before 'to'");
  if (points.value()) query.points = static_cast<std::size_t>(*points.value());
  const auto trace = call.cellar.trace(batch.id);
  if (!trace) return problem(trace.error());
  const auto reported = call.cellar.alerts(batch.id);
  if (!reported) return problem(reported.error());
  const auto notes = call.cellar.notes(batch.id);
  if (!notes) return problem(notes.error());
  return json_response(
      series_json(batch, *trace.value(), reported.value(), notes.value(), query, call.display));
}

HttpResponse alerts(const Call& call, const BatchRecord& batch) {
  const auto query = page_query(call, 1000, 1000);
  if (!query) return problem(query.error());
  const auto reported = call.cellar.alerts(batch.id);
  if (!reported) return problem(reported.error());
  Page page(query.value());
  for (const ReportedAlert& alert : reported.value()) {
    const Cursor cursor{alert.mark.id, 0};
    if (query.value().after && cursor <= *query.value().after) continue;
    Json json = to_json(alert);
    json["line"] = fmt::format(
        "{}  {}", show_time_from(alert.decision.time, call.display, call.cellar.daemon().now), alert.text);
    if (!page.add(std::move(json), cursor)) break;
  }
  Json json{{"batch", batch.spec.name}};
  page.put(json, "alerts");
  return json_response(json);
}

HttpResponse explain(const Call& call, const BatchRecord& batch) {
  const auto all = call.cellar.alerts(batch.id);
  if (!all) return problem(all.error());
  const std::span reported = std::span(all.value()).last(std::min(all.value().size(), kMostExplained));
  std::vector<ReportedDecision> decisions;
  Json list = Json::array();
  for (const ReportedAlert& alert : reported) {
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
  const Time now = call.cellar.daemon().now;
  const bool old = batch.view.old_at(now);
  Outlook nothing{};
  nothing.forecast.time = planned.value().forecast.time;
  Json json{{"batch", batch.spec.name},
            {"lines", outlook_lines(batch.spec, batch.view, question.value(), planned.value(), supposed,
                                    call.display, now)},
            {"forecast", to_json(old ? nothing : planned.value())}};
  if (supposed && !old) json["with_hold"] = to_json(*supposed);
  return json_response(json);
}

HttpResponse whole(const Call& call, const BatchRecord& batch) {
  return json_response(batch_json(call, batch));
}

using OfBatch = HttpResponse (*)(const Call&, const BatchRecord&);

template <OfBatch answer>
HttpResponse of_batch(const Call& call) {
  const auto batch = find_batch(call.cellar.batches(), call.segment(2));
  return batch ? answer(call, batch.value()) : problem(batch.error());
}

template <OfBatch answer>
HttpResponse if_watched(const Call& call, const BatchRecord& batch) {
  if (batch.unreadable.empty()) return answer(call, batch);
  return problem(409, fmt::format("the batch \"{}\" is not watched, because its description cannot be "
                                  "read: {}; the daemon's log says what to do",
                                  batch.spec.name, batch.unreadable));
}

template <OfBatch answer>
constexpr auto of_watched = of_batch<if_watched<answer>>;

constexpr Route kBatchRoutes[] = {
    {"GET", "/v1/batches", list_batches},
    {"POST", "/v1/batches", pitch},
    {"GET", "/v1/batches/{batch}", of_batch<whole>},
    {"POST", "/v1/batches/{batch}/package", of_batch<package>},
    {"GET", "/v1/batches/{batch}/curve", of_watched<curve>},
    {"GET", "/v1/batches/{batch}/series", of_watched<series>},
    {"GET", "/v1/batches/{batch}/alerts", of_batch<alerts>},
    {"GET", "/v1/batches/{batch}/notes", of_batch<list_notes>},
    {"POST", "/v1/batches/{batch}/notes", of_batch<write_note>},
    {"GET", "/v1/batches/{batch}/additions", of_batch<list_additions>},
    {"POST", "/v1/batches/{batch}/additions", of_batch<enter_addition>},
    {"POST", "/v1/batches/{batch}/additions/{addition}", of_batch<take_back_addition>},
    {"GET", "/v1/batches/{batch}/fills", of_batch<list_fills>},
    {"POST", "/v1/batches/{batch}/fills", of_batch<enter_fill>},
    {"POST", "/v1/batches/{batch}/fills/{fill}", of_batch<take_back_fill>},
    {"GET", "/v1/batches/{batch}/explanation", of_watched<explain>},
    {"GET", "/v1/batches/{batch}/forecast", of_watched<forecast>},
    {"GET", "/v1/batches/{batch}/samples", of_batch<list_samples>},
    {"POST", "/v1/batches/{batch}/samples", of_watched<take_sample>},
};

}  // namespace

Json batch_json(const Call& call, const BatchRecord& batch) {
  Json json = to_json(batch);
  const Time now = batch.packaged.value_or(call.cellar.daemon().now);
  auto lines = status_lines(batch.vessel, batch.spec, batch.view, call.display, now);
  if (!batch.unreadable.empty()) {
    lines[1] = "not watched: its description is unreadable";
    lines[2] = "the daemon's log says what to do";
  }
  json["lines"] = lines;
  if (!batch.packaged && batch.unreadable.empty()) {
    const std::string caution = left_early_sentence(batch.view, call.display, now);
    if (!caution.empty()) json["packaging_caution"] = caution;
  }
  return json;
}

HttpResponse new_batch(const Call& call, const BatchRecord& batch) {
  Json json = batch_json(call, batch);
  if (const std::string band = band_sentence(batch.spec.yeast); !band.empty()) json["band"] = band;
  if (!batch.packaged) json["caution"] = pitch_caution();
  HttpResponse response = json_response(json, 201);
  response.headers.emplace_back("Location", fmt::format("/v1/batches/%23{}", batch.id));
  return response;
}

std::span<const Route> batch_routes() { return kBatchRoutes; }

}  // namespace gyle
