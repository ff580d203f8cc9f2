#include "rehearsal/beer_model.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace gyle {
namespace {

constexpr Duration kGrid = minutes(10);
constexpr double kGridHours = in_hours(kGrid);
constexpr double kBeyondDays = 60.0;
constexpr double kWithin = 0.0005;
constexpr double kStable = 0.00025;    // SG: fall within the window that a careful brewer calls stable
constexpr double kBestCelsius = 31.6;  // no strain works faster above (Salvado and co-workers 2011)
constexpr double kThermostatHours = 5.0;

double room_at(const VesselModel& vessel, double hour) {
  const double day = std::sin(2.0 * std::numbers::pi * (hour - 3.0) / 24.0);
  double room = vessel.room_celsius + vessel.room_swing_celsius * day;
  const double into = (hour - vessel.warm_afternoon_h) / vessel.warm_afternoon_lasts_h;
  if (into > 0.0 && into < 1.0) room += vessel.warm_afternoon_celsius * std::sin(std::numbers::pi * into);
  return room;
}

// Which holds have ended, judged from the past only, as a brewer would.
class PlanProgress {
 public:
  PlanProgress(const BatchSpec& spec, double original_gravity)
      : spec_(spec),
        original_gravity_(spec.original_gravity ? spec.original_gravity->value() : original_gravity),
        over_h_(spec.plan.size()) {}

  std::size_t current() const { return current_; }
  std::optional<double> over_h(std::size_t hold) const { return over_h_[hold]; }

  void note(double hour, const std::vector<double>& gravity) {
    while (current_ < spec_.plan.size() && met(spec_.plan[current_].until, hour, gravity)) {
      over_h_[current_++] = hour;
      due_h_ = hour;
    }
  }

 private:
  bool met(const HoldEnd& until, double hour, const std::vector<double>& gravity) const {
    const double now = gravity.back();
    if (const auto wanted = wanted_attenuation(until, spec_.yeast)) {
      return (original_gravity_ - now) / (original_gravity_ - 1.0) >= *wanted;
    }
    if (const auto* lasting = std::get_if<UntilDays>(&until)) return hour >= due_h_ + lasting->days * 24.0;
    if (const auto* level = std::get_if<UntilGravity>(&until)) return now <= level->gravity.value();
    const auto window = static_cast<std::size_t>(spec_.final_gravity.window / kGrid);
    if (gravity.size() <= window) return false;
    const bool well_on =
        original_gravity_ - now > 0.5 * (original_gravity_ - 1.0) * spec_.yeast.attenuation_low;
    return well_on && gravity[gravity.size() - 1 - window] - now < kStable;
  }

  const BatchSpec& spec_;
  double original_gravity_;
  std::vector<std::optional<double>> over_h_;
  std::size_t current_ = 0;
  double due_h_ = 0.0;
};

}  // namespace

Truth brew(const BatchSpec& spec, SpecificGravity original, SpecificGravity nominal,
           std::unique_ptr<Kinetics> kinetics, const VesselModel& vessel, const Conduct& conduct,
           Duration lasts) {
  const double original_gravity = original.value(), nominal_final = nominal.value();
  const double lasts_days = in_days(lasts);
  Truth truth{};
  truth.pitched = spec.pitched;
  truth.grid = kGrid;
  truth.original_gravity = original_gravity;
  truth.nominal_final = nominal_final;
  truth.set_to.resize(spec.plan.size());
  truth.hold_over.resize(spec.plan.size());

  const auto steps = static_cast<std::size_t>((lasts_days + kBeyondDays) * 24.0 / kGridHours);
  const auto kept = static_cast<std::size_t>(lasts_days * 24.0 / kGridHours);
  PlanProgress progress(spec, original_gravity);
  double beer = vessel.wort_celsius;
  double previous = original_gravity;
  double wanted = spec.plan.empty() ? vessel.room_celsius : spec.plan.front().temperature.value;
  if (!spec.plan.empty()) truth.set_to.front() = spec.pitched;
  std::size_t carried_out = 0;
  std::size_t settings = 0;
  for (std::size_t i = 0; i < steps; ++i) {
    const double hour = static_cast<double>(i) * kGridHours;
    const double gravity = original_gravity - kinetics->fallen() * (original_gravity - nominal_final);
    truth.gravity.push_back(gravity);
    progress.note(hour, truth.gravity);
    while (conduct.carries_out && carried_out + 1 < spec.plan.size() && progress.over_h(carried_out) &&
           hour >= *progress.over_h(carried_out) + conduct.step_delay_h) {
      wanted = spec.plan[++carried_out].temperature.value;
      truth.set_to[carried_out] = spec.pitched + from_hours(hour);
    }
    while (settings < conduct.other.size() && hour >= conduct.other[settings].after_h) {
      wanted = conduct.other[settings++].celsius;
    }

    const double room = room_at(vessel, hour);
    const double heat = (previous - gravity) * 1000.0 * vessel.heat_celsius_per_point / kGridHours;
    const double drift = (room - beer) / vessel.time_constant_h + heat;
    double control = 0.0;
    if (vessel.controlled) {
      const double swing = std::sin(2.0 * std::numbers::pi * hour / kThermostatHours);
      const double aim = wanted + vessel.thermostat_swing_celsius * swing;
      control = std::clamp((aim - beer) * 0.6 - drift, vessel.can_cool ? -vessel.control_celsius_per_h : 0.0,
                           vessel.control_celsius_per_h);
    }
    truth.beer_temperature.push_back(beer);
    truth.ambient_temperature.push_back(room + control * vessel.time_constant_h);
    beer += (drift + control) * kGridHours;
    previous = gravity;
    const bool dormant = beer < vessel.dormant_below_celsius && beer < spec.yeast.temperature_low.value - 3.0;
    if (!dormant) kinetics->advance(kGridHours, std::min(beer, kBestCelsius));
  }

  truth.final_gravity = truth.gravity.back();
  truth.gravity.resize(kept + 1);
  truth.beer_temperature.resize(kept + 1);
  truth.ambient_temperature.resize(kept + 1);
  truth.started = truth.first_at_or_below(original_gravity - 0.001);
  if (truth.started) truth.finished = truth.first_at_or_below(truth.final_gravity + kWithin);
  std::optional<Time> due = spec.pitched;
  for (std::size_t hold = 0; hold < spec.plan.size() && due; ++hold) {
    std::optional<Time> over;
    const HoldEnd& until = spec.plan[hold].until;
    if (std::holds_alternative<UntilFinalGravity>(until)) {
      if (truth.finished) over = *truth.finished + spec.final_gravity.window;
    } else if (const auto* lasting = std::get_if<UntilDays>(&until)) {
      over = *due + from_hours(lasting->days * 24.0);
    } else if (const auto hour = progress.over_h(hold)) {
      over = spec.pitched + from_hours(*hour);
    }
    if (over && *over > truth.end()) over.reset();
    truth.hold_over[hold] = over;
    due = over;
  }
  return truth;
}

}  // namespace gyle
