#include "control/set_point_routes.h"

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "control/reference.h"
#include "wording/set_point_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json ask_json(const Ask& ask) { return {{"step", ask.step}, {"temperature_celsius", ask.temperature.value}}; }

Json to_json(const BatchRecord& batch, const SetPointReport& report, std::vector<std::string> lines) {
  const SetPointStatus& status = report.status;
  Json json{{"batch", batch.spec.name},
            {"id", batch.id},
            {"vessel", batch.vessel},
            {"state", name(status.next.state)}};
  if (status.next.state != SetPoint::State::off) {
    json["topic"] = report.topic;
    json["lowest_celsius"] = status.rule.lowest.value;
    json["highest_celsius"] = status.rule.highest.value;
    json["automatic"] = status.rule.automatic;
  }
  if (status.next.ask) json["next"] = ask_json(*status.next.ask);
  if (status.next.due) json["due"] = format_rfc3339(*status.next.due);
  if (status.asked) json["asked"] = ask_json(*status.asked);
  if (status.asked_since) json["asked_since"] = format_rfc3339(*status.asked_since);
  if (!status.trouble.empty()) json["trouble"] = status.trouble;
  if (status.next.state != SetPoint::State::off) json["caution"] = set_point_caution();
  json["lines"] = std::move(lines);
  return json;
}

std::vector<std::string> lines_of(const Call& call, const BatchRecord& batch, const SetPointReport& report) {
  return set_point_lines(batch.vessel, batch.spec, report.status, call.display, call.cellar.daemon().now);
}

HttpResponse answer(const Call& call, const BatchRecord& batch, const Result<SetPointReport>& report) {
  if (!report) return problem(report.error());
  std::vector<std::string> lines = lines_of(call, batch, report.value());
  if (report.value().status.next.state != SetPoint::State::off) lines.push_back(set_point_caution());
  return json_response(to_json(batch, report.value(), std::move(lines)));
}

HttpResponse all(const Call& call) {
  Json list = Json::array();
  std::vector<std::string> lines;
  bool any = false;
  for (const BatchRecord& batch : call.cellar.open_batches()) {
    if (!batch.unreadable.empty()) continue;
    const auto report = call.cellar.set_point(batch.id);
    if (!report) return problem(report.error());
    std::vector<std::string> own = lines_of(call, batch, report.value());
    lines.insert(lines.end(), own.begin(), own.end());
    any = any || report.value().status.next.state != SetPoint::State::off;
    list.push_back(to_json(batch, report.value(), std::move(own)));
  }
  if (lines.empty()) lines.emplace_back("No batch is in a vessel.");
  if (any) lines.push_back(set_point_caution());
  return json_response({{"set_points", std::move(list)}, {"lines", std::move(lines)}});
}

HttpResponse show_set_point(const Call& call) {
  const auto batch = find_batch(call.cellar.batches(), call.segment(2));
  if (!batch) return problem(batch.error());
  return answer(call, batch.value(), call.cellar.set_point(batch.value().id));
}

HttpResponse confirm(const Call& call) {
  const auto step = call.number("step", 1, 50);
  if (!step) return problem(step.error());
  const auto batch = find_batch(call.cellar.batches(), call.segment(2));
  if (!batch) return problem(batch.error());
  return answer(call, batch.value(), call.cellar.confirm_set_point(batch.value().id, step.value()));
}

constexpr Route kSetPointRoutes[] = {
    {"GET", "/v1/set-points", all},
    {"GET", "/v1/batches/{batch}/set-point", show_set_point},
    {"POST", "/v1/batches/{batch}/set-point/confirm", confirm},
};

}  // namespace

Json set_point_json(const Call& call, const BatchRecord& batch, const SetPointReport& report) {
  return to_json(batch, report, lines_of(call, batch, report));
}

std::span<const Route> set_point_routes() { return kSetPointRoutes; }

}  // namespace gyle
