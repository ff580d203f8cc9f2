#include "control/series_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "fermentation/forecast_path.h"
#include "fermentation/hindsight.h"
#include "series/thinning.h"
#include "wording/addition_words.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostMarks = 400;
constexpr std::size_t kMostStages = 400;
constexpr std::size_t kNoteBytes = 300;

Json epoch(Time time) {
  const auto ms = time.time_since_epoch().count();
  return ms % 1000 == 0 ? Json(ms / 1000) : Json(static_cast<double>(ms) / 1000);
}

// No more digits than a sensor has; null when the value is not known.
Json rounded(double value, double per_unit) {
  return std::isfinite(value) ? Json(std::round(value * per_unit) / per_unit) : Json();
}
Json gravity(double sg) { return rounded(sg, 1e5); }
Json celsius(double value) { return rounded(value, 100); }

template <class Point>
std::span<const Point> within(const std::vector<Point>& list, const SeriesQuery& query) {
  auto begin = list.begin();
  auto end = list.end();
  if (query.from) {
    begin = std::lower_bound(begin, end, *query.from, [](const Point& p, Time t) { return p.time < t; });
    if (begin != list.begin()) --begin;
  }
  if (query.to) {
    end = std::upper_bound(begin, end, *query.to, [](Time t, const Point& p) { return t < p.time; });
    if (end != list.end()) ++end;
  }
  return {begin, end};
}

template <class Point, class Value>
std::vector<double> column(std::span<const Point> list, Value value) {
  std::vector<double> column;
  column.reserve(list.size());
  for (const Point& point : list) column.push_back(value(point));
  return column;
}

template <class Point>
std::vector<double> times(std::span<const Point> list) {
  return column(list, [](const Point& p) { return in_seconds(p.time.time_since_epoch()); });
}

// Returns whether anything was left out.
bool put_curve(Json& json, std::span<const CurvePoint> curve, std::size_t points) {
  const auto raw = column(curve, [](const CurvePoint& p) { return p.gravity_raw; });
  const auto middle = column(curve, [](const CurvePoint& p) { return p.gravity.value; });
  const auto low = column(curve, [](const CurvePoint& p) { return p.gravity.low; });
  const auto high = column(curve, [](const CurvePoint& p) { return p.gravity.high; });
  const std::array<std::span<const double>, 4> curves{raw, middle, low, high};
  const auto kept = thinned(times(curve), curves, points);
  for (const char* name : {"time", "raw", "gravity", "low", "high"}) json[name] = Json::array();
  for (const std::size_t i : kept) {
    json["time"].push_back(epoch(curve[i].time));
    json["raw"].push_back(gravity(raw[i]));
    json["gravity"].push_back(gravity(middle[i]));
    json["low"].push_back(gravity(low[i]));
    json["high"].push_back(gravity(high[i]));
  }
  return kept.size() < curve.size();
}

bool put_temperature(Json& json, const char* name, std::span<const UsedReading> list, std::size_t points) {
  const auto values = column(list, [](const UsedReading& m) { return m.value; });
  const std::array<std::span<const double>, 1> curves{values};
  const auto kept = thinned(times(list), curves, points);
  Json& pair = json[name] = {{"time", Json::array()}, {"value", Json::array()}};
  for (const std::size_t i : kept) {
    pair["time"].push_back(epoch(list[i].time));
    pair["value"].push_back(celsius(values[i]));
  }
  return kept.size() < list.size();
}

Json stages(const std::vector<CurvePoint>& curve) {
  std::vector<const CurvePoint*> changes;
  for (const CurvePoint& point : curve) {
    if (changes.empty() || changes.back()->stage != point.stage) changes.push_back(&point);
  }
  Json json = Json::array();
  for (std::size_t i = changes.size() - std::min(changes.size(), kMostStages); i < changes.size(); ++i) {
    json.push_back({{"time", epoch(changes[i]->time)}, {"stage", name(changes[i]->stage)}});
  }
  return json;
}

// The holds that have begun. Each begins when the end of the one before was reported.
Json holds(const BatchRecord& batch, std::span<const ReportedAlert> alerts) {
  std::map<int, Time> over;
  for (const ReportedAlert& alert : alerts) {
    const Decision& d = alert.decision;
    if (d.kind != AlertKind::step_due || !d.step) continue;
    if (d.state == Decision::State::raised) {
      over.insert_or_assign(*d.step, d.time);
    } else {
      over.erase(*d.step);
    }
  }
  Json json = Json::array();
  Time from = batch.spec.pitched;
  int step = 1;
  for (const Hold& hold : batch.spec.plan) {
    const auto end = over.find(step);
    const std::optional<Time> to = end != over.end() ? std::optional(end->second) : batch.packaged;
    json.push_back({{"step", step},
                    {"from", epoch(from)},
                    {"to", to ? epoch(*to) : Json()},
                    {"celsius", celsius(hold.temperature.value)}});
    if (end == over.end()) break;
    from = end->second;
    ++step;
  }
  return json;
}

void put_moments(Json& json, const char* name, const std::optional<TimeInterval>& interval) {
  if (!interval) return;
  json[name] = {
      {"value", epoch(interval->value)}, {"low", epoch(interval->low)}, {"high", epoch(interval->high)}};
}

Json forecast(const Forecast& forecast, std::span<const CurvePoint> curve) {
  Json json{{"time", epoch(forecast.time)}};
  if (const auto& final = forecast.final_gravity; final && std::isfinite(final->value)) {
    json["final_gravity_sg"] = {
        {"value", gravity(final->value)}, {"low", gravity(final->low)}, {"high", gravity(final->high)}};
  }
  put_moments(json, "final_time", forecast.final_time);
  if (forecast.step) json["step"] = *forecast.step;
  put_moments(json, "step_time", forecast.step_time);
  Json path{
      {"time", Json::array()}, {"gravity", Json::array()}, {"low", Json::array()}, {"high", Json::array()}};
  if (!curve.empty()) {
    const CurvePoint& last = curve.back();
    for (const PathPoint& point : forecast_path(last.gravity, last.time, last.stage, forecast)) {
      path["time"].push_back(epoch(point.time));
      path["gravity"].push_back(gravity(point.gravity.value));
      path["low"].push_back(gravity(point.gravity.low));
      path["high"].push_back(gravity(point.gravity.high));
    }
  }
  json["path"] = std::move(path);
  return json;
}

// Text of one line, not too long for a mark.
std::string shortened(const std::string& text) {
  std::string line = text.substr(0, text.find('\n'));
  bool cut = line.size() < text.size();
  if (line.size() > kNoteBytes) {
    std::size_t end = kNoteBytes;
    while (end > 0 && (static_cast<unsigned char>(line[end]) & 0xC0U) == 0x80U) --end;
    line.resize(end);
    cut = true;
  }
  return cut ? line + "\xe2\x80\xa6" : line;
}

Json marks(const BatchRecord& batch, const BatchTrace& trace, std::span<const ReportedAlert> alerts,
           std::span<const Note> notes, const SeriesQuery& query, const DisplaySettings& display) {
  std::vector<std::pair<Time, Json>> all;
  const auto add = [&](Time time, const char* what, Json rest) {
    if ((query.from && time < *query.from) || (query.to && time > *query.to)) return;
    Json mark{{"time", epoch(time)}, {"what", what}};
    mark.update(rest);
    all.emplace_back(time, std::move(mark));
  };
  add(batch.spec.pitched, "pitch", {{"text", "Pitched."}});
  for (const ReportedAlert& alert : alerts) {
    const Decision& d = alert.decision;
    add(d.time, "alert",
        {{"id", alert.mark.id},
         {"kind", name(d.kind)},
         {"state", name(d.state)},
         {"text", shortened(alert.text)}});
  }
  for (const UsedReading& sample : trace.samples()) {
    add(sample.time, "sample",
        {{"gravity", gravity(sample.value)},
         {"text", fmt::format("Sample: {}.", show_gravity(sample.value, display, 4))}});
  }
  for (const Note& note : notes) add(note.time, "note", {{"id", note.id}, {"text", shortened(note.text)}});
  for (const Addition& one : batch.spec.additions) {
    add(one.time, "addition", {{"text", "Added: " + addition_words(one, display) + "."}});
  }
  if (batch.packaged) add(*batch.packaged, "packaged", {{"text", "Packaged."}});
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  Json json = Json::array();
  for (std::size_t i = all.size() - std::min(all.size(), kMostMarks); i < all.size(); ++i) {
    json.push_back(std::move(all[i].second));
  }
  return json;
}

}  // namespace

Json recent_json(const BatchView& view, const BatchTrace& trace) {
  constexpr std::size_t kPoints = 80;
  Json json = Json::object();
  const auto since = [&](Duration before) { return SeriesQuery{view.time - before, {}, kPoints}; };
  const std::vector<CurvePoint> curve = in_hindsight(within(trace.curve(), since(days(4))), view);
  const auto values = column(std::span(curve), [](const CurvePoint& p) { return p.gravity.value; });
  const std::array<std::span<const double>, 1> curves{values};
  json["time"] = Json::array();
  json["gravity"] = Json::array();
  for (const std::size_t i : thinned(times(std::span(curve)), curves, kPoints)) {
    json["time"].push_back(epoch(curve[i].time));
    json["gravity"].push_back(gravity(values[i]));
  }
  put_temperature(json, "temperature", within(trace.beer(), since(days(1))), kPoints);
  return json;
}

Json series_json(const BatchRecord& batch, const BatchTrace& trace, std::span<const ReportedAlert> alerts,
                 std::span<const Note> notes, const SeriesQuery& query, const DisplaySettings& display) {
  Json json{{"batch", batch.spec.name}, {"id", batch.id}, {"thinned", false}};
  const std::vector<CurvePoint> curve = in_hindsight(trace.curve(), batch.view);
  bool thinned = put_curve(json, within(curve, query), query.points);
  json["stage"] = stages(curve);
  thinned = put_temperature(json, "temperature", within(trace.beer(), query), query.points) || thinned;
  thinned = put_temperature(json, "ambient", within(trace.ambient(), query), query.points) || thinned;
  json["thinned"] = thinned || !trace.whole();
  json["holds"] = holds(batch, alerts);
  json["yeast_range"] = {celsius(batch.spec.yeast.temperature_low.value),
                         celsius(batch.spec.yeast.temperature_high.value)};
  json["forecast"] = forecast(batch.view.forecast, curve);
  json["marks"] = marks(batch, trace, alerts, notes, query, display);
  return json;
}

}  // namespace gyle
