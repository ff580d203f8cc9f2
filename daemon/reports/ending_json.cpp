#include "reports/ending_json.h"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace gyle {
namespace {

using nlohmann::json;

// Every member of each type once, for both directions. The bindings do not compile when a member is missing
// here.
template <class T, class F>
void members(IntervalOf<T>& x, F&& f) {
  auto& [value, low, high] = x;
  f("value", value), f("low", low), f("high", high);
}
template <class F>
void members(Forecast& x, F&& f) {
  auto& [time, final_gravity, final_time, step, step_time, end_unknown] = x;
  f("time", time), f("final_gravity", final_gravity), f("final_time", final_time), f("step", step);
  f("step_time", step_time), f("end_unknown", end_unknown);
}
template <class F>
void members(SensorHealth& x, F&& f) {
  auto& [sensor, last_heard, usual, battery_v, battery_days, share, gap, clock, low, silent, frozen,
         implausible] = x;
  f("sensor", sensor), f("last_heard", last_heard), f("usual_interval", usual), f("battery_v", battery_v);
  f("battery_days", battery_days), f("arrived_share", share), f("longest_gap", gap), f("clock_off", clock);
  f("battery_low", low), f("silent", silent), f("frozen", frozen), f("implausible", implausible);
}
template <class F>
void members(Reason& x, F&& f) {
  auto& [finding, numbers, sensor] = x;
  f("finding", finding), f("numbers", numbers), f("sensor", sensor);
}
template <class F>
void members(BatchView& x, F&& f) {
  auto& [time, stage, gravity, known, current_until, original, inferred, offset, rate, temperature,
         attenuation, started, since, holds, forecast, sensors, reasons] = x;
  f("time", time), f("stage", stage), f("gravity", gravity), f("known", known),
      f("current_until", current_until);
  f("original_gravity", original);
  f("original_gravity_inferred", inferred), f("offset", offset), f("rate_points_per_day", rate);
  f("temperature", temperature), f("attenuation", attenuation), f("started", started);
  f("final_gravity_since", since), f("holds_over", holds), f("forecast", forecast), f("sensors", sensors);
  f("reasons", reasons);
}
template <class F>
void members(YeastRun& x, F&& f) {
  auto& [original, final, attenuation, lag, days, celsius, half] = x;
  f("original_gravity", original), f("final_gravity", final), f("attenuation", attenuation),
      f("lag_days", lag);
  f("final_days", days), f("celsius", celsius), f("half_hours", half);
}
template <class F>
void members(BatchEnding& x, F&& f) {
  auto& [view, run] = x;
  f("view", view), f("run", run);
}

json written(bool x) { return x; }
json written(int x) { return x; }
json written(double x) { return x; }  // what is not finite becomes null
json written(const std::string& x) { return x; }
json written(Time x) { return x.time_since_epoch().count(); }
json written(Duration x) { return x.count(); }
json written(GravityPoints x) { return x.value; }
json written(Celsius x) { return x.value; }
json written(Stage x) { return name(x); }
json written(Finding x) { return name(x); }
json written(const std::pair<std::string, double>& x) { return json::array({x.first, written(x.second)}); }
// A list, for there are thousands.
json written(const CurvePoint& x) {
  return json::array({written(x.time), written(x.gravity_raw), written(x.gravity.value),
                      written(x.gravity.low), written(x.gravity.high),
                      x.temperature ? written(*x.temperature) : json(),
                      x.attenuation ? written(*x.attenuation) : json(), written(x.stage)});
}
json written(const UsedReading& x) {
  return json::array({written(x.time), name(x.quantity), written(x.value)});
}
template <class T>
json written(T x);
template <class T>
json written(const std::vector<T>& x) {
  json list = json::array();
  for (const T& one : x) list.push_back(written(one));
  return list;
}
template <class T>
json written(const std::optional<T>& x) {
  return x ? json::array({written(*x)}) : json();
}
template <class T>
json written(T x) {
  json object = json::object();
  members(x, [&](const char* name, auto& member) { object[name] = written(member); });
  return object;
}

struct Unreadable {};

void read(const json& from, bool& x) {
  if (!from.is_boolean()) throw Unreadable();
  x = from.get<bool>();
}
std::int64_t whole_number(const json& from) {
  if (!from.is_number_integer() || (from.is_number_unsigned() && from.get<std::uint64_t>() > INT64_MAX)) {
    throw Unreadable();
  }
  return from.get<std::int64_t>();
}
void read(const json& from, int& x) {
  const std::int64_t number = whole_number(from);
  if (number < std::numeric_limits<int>::min() || number > std::numeric_limits<int>::max())
    throw Unreadable();
  x = static_cast<int>(number);
}
void read(const json& from, double& x) {
  if (!from.is_number() && !from.is_null()) throw Unreadable();
  x = from.is_null() ? std::nan("") : from.get<double>();
}
void read(const json& from, std::string& x) {
  if (!from.is_string()) throw Unreadable();
  x = from.get<std::string>();
}
void read(const json& from, Time& x) { x = Time(Duration(whole_number(from))); }
void read(const json& from, Duration& x) { x = Duration(whole_number(from)); }
void read(const json& from, GravityPoints& x) { read(from, x.value); }
void read(const json& from, Celsius& x) { read(from, x.value); }
void read(const json& from, Finding& x) {
  if (!from.is_string()) throw Unreadable();
  const auto finding = finding_named(from.get<std::string>());
  if (!finding) throw Unreadable();
  x = *finding;
}
void read(const json& from, Stage& x) {
  for (const Stage stage : {Stage::lag, Stage::active, Stage::slowing, Stage::finished, Stage::stuck}) {
    if (from == name(stage)) {
      x = stage;
      return;
    }
  }
  throw Unreadable();
}
void read(const json& from, std::pair<std::string, double>& x) {
  if (!from.is_array() || from.size() != 2) throw Unreadable();
  read(from[0], x.first);
  read(from[1], x.second);
}
void read(const json& from, CurvePoint& x) {
  if (!from.is_array() || from.size() != 8) throw Unreadable();
  read(from[0], x.time);
  read(from[1], x.gravity_raw);
  read(from[2], x.gravity.value);
  read(from[3], x.gravity.low);
  read(from[4], x.gravity.high);
  if (!from[5].is_null()) read(from[5], x.temperature.emplace());
  if (!from[6].is_null()) read(from[6], x.attenuation.emplace());
  read(from[7], x.stage);
}
void read(const json& from, UsedReading& x) {
  if (!from.is_array() || from.size() != 3 || !from[1].is_string()) throw Unreadable();
  const auto quantity = quantity_named(from[1].get<std::string>());
  if (!quantity) throw Unreadable();
  read(from[0], x.time);
  x.quantity = *quantity;
  read(from[2], x.value);
}
template <class T>
void read(const json& from, T& x);
template <class T>
void read(const json& from, std::vector<T>& x) {
  if (!from.is_array()) throw Unreadable();
  for (const json& one : from) read(one, x.emplace_back());
}
template <class T>
void read(const json& from, std::optional<T>& x) {
  if (from.is_null()) return;
  if (!from.is_array() || from.size() != 1) throw Unreadable();
  read(from[0], x.emplace());
}
template <class T>
void read(const json& from, T& x) {
  members(x, [&](const char* name, auto& member) {
    const auto found = from.find(name);
    if (found == from.end()) throw Unreadable();
    read(*found, member);
  });
}

}  // namespace

std::string ending_json(const BatchEnding& ending) {
  return written(ending).dump(-1, ' ', false, json::error_handler_t::replace);
}

Result<BatchEnding> parse_ending(std::string_view text) {
  const json from = json::parse(text, nullptr, /*allow_exceptions=*/false);
  BatchEnding ending;
  try {
    read(from, ending);
  } catch (const Unreadable&) {
    return fail(Errc::malformed, "how the batch ended cannot be read; it is made from the readings again");
  }
  return ending;
}

std::string course_json(const BatchTrace& course) {
  std::vector<UsedReading> measured = course.samples();
  for (const auto* list : {&course.beer(), &course.ambient()}) {
    measured.insert(measured.end(), list->begin(), list->end());
  }
  return json{{"curve", written(course.curve())}, {"measured", written(measured)}, {"whole", course.whole()}}
      .dump();
}

Result<BatchTrace> parse_course(std::string_view text) {
  const json from = json::parse(text, nullptr, /*allow_exceptions=*/false);
  Outcome all;
  bool whole = false;
  try {
    if (!from.is_object()) throw Unreadable();
    read(from.value("curve", json()), all.curve);
    read(from.value("measured", json()), all.measured);
    read(from.value("whole", json()), whole);
  } catch (const Unreadable&) {
    return fail(Errc::malformed,
                "the course of the batch cannot be read; it is made from the readings again");
  }
  return BatchTrace::of(all, whole);
}

}  // namespace gyle
