#include "simulation/dump.h"

#include <fmt/format.h>

#include <fstream>
#include <system_error>

#include "base/rfc3339.h"

namespace gyle::simulation {
namespace {

std::string until_of(const HoldEnd& until) {
  if (const auto* progress = std::get_if<UntilProgress>(&until)) {
    return fmt::format("{{ progress = {} }}", progress->fraction);
  }
  if (const auto* attenuation = std::get_if<UntilAttenuation>(&until)) {
    return fmt::format("{{ attenuation = {} }}", attenuation->apparent);
  }
  if (const auto* lasting = std::get_if<UntilDays>(&until))
    return fmt::format("{{ days = {} }}", lasting->days);
  if (const auto* level = std::get_if<UntilGravity>(&until)) {
    return fmt::format("{{ gravity = {:.4f} }}", level->gravity.value());
  }
  return "\"final-gravity\"";
}

std::string toml_of(const BatchSpec& spec) {
  std::string out = fmt::format("name = \"{}\"\npitched = {}\n", spec.name, format_rfc3339(spec.pitched));
  if (spec.original_gravity)
    out += fmt::format("original_gravity = {:.4f}\n", spec.original_gravity->value());
  out += fmt::format("[yeast]\nattenuation = [{:.3f}, {:.3f}]\ntemperature = [\"{} Cel\", \"{} Cel\"]\n",
                     spec.yeast.attenuation_low, spec.yeast.attenuation_high,
                     spec.yeast.temperature_low.value, spec.yeast.temperature_high.value);
  out += fmt::format("[final_gravity]\nwindow = \"{} h\"\ntolerance = {}\n",
                     in_hours(spec.final_gravity.window), spec.final_gravity.tolerance.value / 1000.0);
  for (const Hold& hold : spec.plan) {
    out += fmt::format("[[plan]]\nhold = \"{} Cel\"\nuntil = {}\n", hold.temperature.value,
                       until_of(hold.until));
  }
  return out;
}

std::string time_or_never(const std::optional<Time>& time, const Truth& truth) {
  if (!time) return "never";
  return fmt::format("{} ({:.1f} h)", format_rfc3339(*time), in_hours(*time - truth.pitched));
}

std::string said(const SimulatedBatch& batch, const Verdicts& verdicts) {
  const Truth& truth = batch.truth;
  std::string out = fmt::format(
      "{} seed {} family {}\ntruth: OG {:.4f}, final {:.4f}, sugar ends at {:.4f}\nstarted {}\nwithin half a "
      "point of the end {}\n",
      batch.kind, batch.seed, name(batch.family), truth.original_gravity, truth.final_gravity,
      truth.nominal_final, time_or_never(truth.started, truth), time_or_never(truth.finished, truth));
  for (std::size_t i = 0; i < truth.hold_over.size(); ++i) {
    out += fmt::format("hold {} over {}, thermostat set {}\n", i + 1,
                       time_or_never(truth.hold_over[i], truth), time_or_never(truth.set_to[i], truth));
  }
  if (batch.stuck)
    out += fmt::format("stuck from {} to {}\n", time_or_never(batch.stuck->from, truth),
                       time_or_never(batch.stuck->to, truth));
  if (batch.over_attenuated)
    out += fmt::format("over-attenuated {}\n", time_or_never(batch.over_attenuated, truth));
  for (const Foam& foam : batch.hydrometer.foam) {
    out += fmt::format("foam {:.0f} h to {:.0f} h, lift {:.4f}{}\n", foam.from_h, foam.to_h, foam.lift,
                       foam.pinned ? ", pinned" : "");
  }
  out += "said:\n";
  for (const Decision& d : verdicts.decisions) {
    out += fmt::format("  {:7.1f} h {} {} {}", in_hours(d.time - truth.pitched), name(d.kind), name(d.state),
                       d.sensor);
    if (d.step) out += fmt::format(" step {}", *d.step);
    out += fmt::format(" (to go {:.2f}, rate {:.2f}/day)", batch.to_go(d.time), truth.rate_at(d.time));
    for (const auto& [what, value] : d.evidence) out += fmt::format(" {}={:.6g}", what, value);
    out += "\n";
  }
  return out;
}

std::optional<Interval> hours_of(const std::optional<TimeInterval>& times, Time pitched) {
  if (!times) return std::nullopt;
  return Interval{in_hours(times->value - pitched), in_hours(times->low - pitched),
                  in_hours(times->high - pitched)};
}

std::string field(const std::optional<Interval>& interval) {
  if (!interval) return ",,";
  return fmt::format("{:.5f},{:.5f},{:.5f}", interval->value, interval->low, interval->high);
}

Status write(const std::filesystem::path& path, const std::string& content) {
  std::ofstream out(path);
  out << content;
  if (!out.flush()) return fail(Errc::unavailable, fmt::format("cannot write {}", path.string()));
  return success();
}

}  // namespace

Status dump(const SimulatedBatch& batch, const Verdicts& verdicts, const std::filesystem::path& folder) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error)
    return fail(Errc::unavailable, fmt::format("cannot make {}: {}", folder.string(), error.message()));
  BOOST_OUTCOME_TRYV(write(folder / "BATCH.toml", toml_of(batch.spec)));

  std::string readings = "time,sensor,quantity,value\n";
  for (const DeliveredReading& row : batch.readings) {
    readings += fmt::format("{},{},{},{:.6g}\n", format_rfc3339(row.reading.time), row.reading.sensor,
                            name(row.reading.quantity), row.reading.value);
  }
  BOOST_OUTCOME_TRYV(write(folder / "READINGS.csv", readings));

  const Truth& truth = batch.truth;
  std::string hourly =
      "time,hour,gravity,as_shown,beer_temperature,ambient_temperature,points_per_day,to_go_points\n";
  for (Time time = truth.pitched; time <= truth.end(); time += hours(1)) {
    hourly += fmt::format("{},{:.0f},{:.5f},{:.5f},{:.2f},{:.2f},{:.3f},{:.3f}\n", format_rfc3339(time),
                          in_hours(time - truth.pitched), truth.gravity_at(time),
                          shown_gravity(batch.hydrometer, truth, time), truth.beer_at(time),
                          truth.ambient_at(time), truth.rate_at(time), batch.to_go(time));
  }
  BOOST_OUTCOME_TRYV(write(folder / "truth.csv", hourly));
  BOOST_OUTCOME_TRYV(write(folder / "said.txt", said(batch, verdicts)));

  std::string curve = "hour,gravity_raw,gravity,gravity_low,gravity_high,true_gravity,as_shown,stage\n";
  for (const CurvePoint& p : verdicts.curve) {
    curve +=
        fmt::format("{:.3f},{:.5f},{:.5f},{:.5f},{:.5f},{:.5f},{:.5f},{}\n", in_hours(p.time - truth.pitched),
                    p.gravity_raw, p.gravity.value, p.gravity.low, p.gravity.high, truth.gravity_at(p.time),
                    shown_gravity(batch.hydrometer, truth, p.time), name(p.stage));
  }
  BOOST_OUTCOME_TRYV(write(folder / "curve.csv", curve));

  std::string forecasts = "hour,final_gravity,low,high,final_hour,low,high,step,step_hour,low,high\n";
  for (const Forecast& f : verdicts.forecasts) {
    forecasts +=
        fmt::format("{:.2f},{},{},{},{}\n", in_hours(f.time - truth.pitched), field(f.final_gravity),
                    field(hours_of(f.final_time, truth.pitched)), f.step ? std::to_string(*f.step) : "",
                    field(hours_of(f.step_time, truth.pitched)));
  }
  return write(folder / "forecasts.csv", forecasts);
}

}  // namespace gyle::simulation
