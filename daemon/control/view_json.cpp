#include "control/view_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "reports/csv.h"
#include "wording/explanation.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

void put(Json& object, const char* key, std::optional<double> value) {
  if (value && std::isfinite(*value)) object[key] = *value;
}
void put(Json& object, const char* key, std::optional<Time> time) {
  if (time) object[key] = format_rfc3339(*time);
}
void put(Json& object, const char* key, const std::optional<Interval>& interval) {
  if (!interval || !std::isfinite(interval->value)) return;
  Json& three = object[key];
  put(three, "value", interval->value);
  put(three, "low", interval->low);
  put(three, "high", interval->high);
}
void put(Json& object, const char* key, const std::optional<PointsInterval>& interval) {
  if (interval) put(object, key, Interval{interval->value.value, interval->low.value, interval->high.value});
}
void put_seconds(Json& object, const char* key, std::optional<Duration> length) {
  if (length) object[key] = in_seconds(*length);
}
void put(Json& object, const char* key, const std::optional<TimeInterval>& interval) {
  if (!interval) return;
  const std::string value = csv_time(interval->value);
  const std::string low = csv_time(interval->low);
  const std::string high = csv_time(interval->high);
  if (!value.empty() && !low.empty() && !high.empty()) {
    object[key] = {{"value", value}, {"low", low}, {"high", high}};
  }
}

Json numbers(const Evidence& evidence) {
  Json object = Json::object();
  for (const auto& [key, value] : evidence) put(object, key.c_str(), value);
  return object;
}

struct UntilJson {
  Json operator()(const UntilProgress& end) const { return {{"progress", end.fraction}}; }
  Json operator()(const UntilAttenuation& end) const { return {{"attenuation", end.apparent}}; }
  Json operator()(const UntilDays& end) const { return {{"days", end.days}}; }
  Json operator()(const UntilGravity& end) const { return {{"gravity_sg", end.gravity.value()}}; }
  Json operator()(const UntilFinalGravity&) const { return "final-gravity"; }
};

Json forecast_json(const Forecast& forecast) {
  Json json;
  put(json, "time", forecast.time);
  put(json, "final_gravity_sg", forecast.final_gravity);
  put(json, "final_time", forecast.final_time);
  if (forecast.step) json["step"] = *forecast.step;
  put(json, "step_time", forecast.step_time);
  if (forecast.end_unknown) json["end_unknown"] = true;
  return json;
}

}  // namespace

Json to_json(const SensorHealth& health) {
  Json json{{"sensor", health.sensor}};
  put(json, "last_heard", health.last_heard);
  put_seconds(json, "usual_interval_s", health.usual_interval);
  put(json, "battery_v", health.battery_v);
  put(json, "battery_days", health.battery_days);
  put(json, "arrived_share", health.arrived_share);
  put_seconds(json, "longest_gap_s", health.longest_gap);
  put_seconds(json, "clock_off_s", health.clock_off);
  json["battery_low"] = health.battery_low;
  json["silent"] = health.silent;
  json["frozen"] = health.frozen;
  json["implausible"] = health.implausible;
  return json;
}

Json to_json(const BatchSpec& spec) {
  Json json{{"name", spec.name}, {"pitched", format_rfc3339(spec.pitched)}};
  if (spec.original_gravity) json["original_gravity_sg"] = spec.original_gravity->value();
  put(json, "volume_l", spec.volume_l);
  json["yeast"] = {{"name", spec.yeast.name},
                   {"attenuation_low", spec.yeast.attenuation_low},
                   {"attenuation_high", spec.yeast.attenuation_high},
                   {"temperature_low_celsius", spec.yeast.temperature_low.value},
                   {"temperature_high_celsius", spec.yeast.temperature_high.value}};
  if (spec.yeast.attenuation_batches > 0) {
    json["yeast"]["attenuation_batches"] = spec.yeast.attenuation_batches;
  }
  if (spec.yeast.half_low_h > 0) {
    json["yeast"]["half_fall_low_hours"] = spec.yeast.half_low_h;
    json["yeast"]["half_fall_high_hours"] = spec.yeast.half_high_h;
  }
  json["final_gravity"] = {{"window_hours", in_hours(spec.final_gravity.window)},
                           {"tolerance_points", spec.final_gravity.tolerance.value}};
  json["plan"] = Json::array();
  for (const Hold& hold : spec.plan) {
    json["plan"].push_back(
        {{"hold_celsius", hold.temperature.value}, {"until", std::visit(UntilJson{}, hold.until)}});
  }
  if (!spec.additions.empty()) json["additions"] = to_json(spec.additions);
  return json;
}

Json to_json(const std::vector<Addition>& additions) {
  Json json = Json::array();
  for (const Addition& one : additions) {
    Json entry{{"number", json.size() + 1}, {"what", name(one.kind)}, {"time", format_rfc3339(one.time)}};
    entry[one.kind == AdditionKind::water ? "litres" : "kg"] = one.amount;
    if (one.kind == AdditionKind::fruit) entry["sugar_share"] = one.sugar_share;
    json.push_back(std::move(entry));
  }
  return json;
}

Json to_json(const BatchView& view) {
  Json json{{"time", format_rfc3339(view.time)}, {"stage", name(view.stage)}};
  put(json, "gravity_sg", view.gravity);
  put(json, "known", view.known);
  put(json, "current_until", view.current_until);
  put(json, "original_gravity_sg", view.original_gravity);
  json["original_gravity_inferred"] = view.original_gravity_inferred;
  put(json, "offset_points", view.offset);
  put(json, "rate_points_per_day", view.rate_points_per_day);
  if (view.temperature) put(json, "temperature_celsius", view.temperature->value);
  put(json, "attenuation", view.attenuation);
  put(json, "started", view.started);
  put(json, "final_gravity_since", view.final_gravity_since);
  json["holds_over"] = view.holds_over;
  json["forecast"] = forecast_json(view.forecast);
  json["sensors"] = Json::array();
  for (const SensorHealth& health : view.sensors) json["sensors"].push_back(to_json(health));
  json["reasons"] = Json::array();
  for (const Reason& reason : view.reasons) {
    json["reasons"].push_back({{"finding", name(reason.finding)},
                               {"text", reason_sentence(reason)},
                               {"numbers", numbers(reason.numbers)}});
    if (!reason.sensor.empty()) json["reasons"].back()["sensor"] = reason.sensor;
  }
  return json;
}

Json to_json(const BatchRecord& batch) {
  Json json{{"id", batch.id}, {"vessel", batch.vessel}, {"name", batch.spec.name}};
  put(json, "packaged", batch.packaged);
  if (!batch.unreadable.empty()) {
    json["unreadable"] = batch.unreadable;
    return json;
  }
  json["spec"] = to_json(batch.spec);
  json["view"] = to_json(batch.view);
  return json;
}

Json to_json(const Outlook& outlook) {
  Json json = forecast_json(outlook.forecast);
  put(json, "ready_time", outlook.ready_time);
  put(json, "chance_ready", outlook.chance_ready);
  return json;
}

namespace {

void put_mark(Json& json, const AlertMark& mark) {
  json["id"] = mark.id;
  json["over"] = mark.over;
  put(json, "acknowledged", mark.acknowledged);
  put(json, "snoozed_until", mark.snoozed_until);
}

}  // namespace

Json to_json(const ReportedAlert& alert) {
  const Decision& decision = alert.decision;
  Json json{{"time", format_rfc3339(decision.time)},
            {"kind", name(decision.kind)},
            {"severity", name(severity_of(decision.kind))},
            {"state", name(decision.state)},
            {"occurrence", decision.occurrence}};
  if (decision.step) json["step"] = *decision.step;
  if (!decision.sensor.empty()) json["sensor"] = decision.sensor;
  json["text"] = alert.text;
  json["evidence"] = numbers(decision.evidence);
  put_mark(json, alert.mark);
  return json;
}

Json to_json(const SystemAlert& word) {
  Json json{{"time", format_rfc3339(word.time)},
            {"kind", word.kind},
            {"severity", name(word.severity)},
            {"state", name(word.state)},
            {"text", word.text}};
  put_mark(json, word.mark);
  return json;
}

Json to_json(const ChannelReport& channel) {
  Json json{{"name", channel.name},
            {"kind", channel.kind},
            {"waiting", channel.waiting},
            {"refused", channel.refused}};
  put(json, "delivered_last", channel.delivered_last);
  if (!channel.trouble.empty()) json["trouble"] = channel.trouble;
  return json;
}

Json to_json(const SensorRecord& sensor) {
  Json json{{"sensor", sensor.sensor}};
  if (!sensor.vessel.empty()) json["vessel"] = sensor.vessel;
  json["newest"] = Json::array();
  for (const Reading& reading : sensor.newest) {
    Json entry{{"time", format_rfc3339(reading.time)}, {"quantity", name(reading.quantity)}};
    put(entry, "value", reading.value);
    entry["time_quality"] = name(reading.time_quality);
    json["newest"].push_back(std::move(entry));
  }
  return json;
}

Json to_json(const RefusalSummary& refusals) {
  Json json{{"counts", Json::object()}, {"newest", Json::array()}};
  for (const auto& [reason, count] : refusals.counts) json["counts"][name(reason)] = count;
  for (const Refusal& refusal : refusals.newest) {
    Json entry{{"received", format_rfc3339(refusal.received)},
               {"reason", name(refusal.reason)},
               {"topic", refusal.topic}};
    if (!refusal.sensor.empty()) entry["sensor"] = refusal.sensor;
    entry["detail"] = refusal.detail;
    entry["head"] = refusal.head;
    json["newest"].push_back(std::move(entry));
  }
  return json;
}

Json to_json(const DaemonRecord& daemon) {
  Json json{{"version", daemon.version},
            {"broker", daemon.broker},
            {"broker_connected", daemon.broker_connected},
            {"now", format_rfc3339(daemon.now)},
            {"running_since", format_rfc3339(daemon.running_since)},
            {"readings", daemon.readings},
            {"refusals", daemon.refusals}};
  put(json, "last_message", daemon.last_message);
  if (!daemon.database_trouble.empty()) json["database_trouble"] = daemon.database_trouble;
  return json;
}

}  // namespace gyle
