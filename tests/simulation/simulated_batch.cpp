#include "simulation/simulated_batch.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>
#include <utility>

#include "rehearsal/beer_model.h"

namespace gyle::simulation {
namespace {

// A batch before chance has made its truth.
struct Draft {
  BatchSpec spec;
  Family family = Family::logistic;
  double original_gravity = 1.050;
  double attenuation = 0.76;
  double half_h = 40.0;
  Tail tail = Tail::ordinary;
  double lag_h = 8.0;
  bool never_starts = false;
  bool stalls_by_settling = false;
  Halt halt;
  double creep = 0.0;
  double creep_per_day = 0.0;
  VesselModel vessel;
  Conduct conduct;
  double longest_days = 60.0;
  Hydrometer hydrometer;
  bool has_float = true;
  bool has_probe = true;
  Probe probe;
  std::vector<double> sample_h;  // hours since the pitch of hand samples
};

struct Chance {
  Random random;
  Split split;
  double between(double low, double high) { return random.between(low, high); }
  // A range for tuning and a wider one for the other splits.
  double ranged(double low, double high, double other_low, double other_high) {
    return split == Split::tuning ? between(low, high) : between(other_low, other_high);
  }
  double either_sign(double low, double high) {
    return between(low, high) * (random.chance(0.5) ? 1.0 : -1.0);
  }
};

Family draw_family(Chance& chance) {
  constexpr Family kTuning[] = {Family::logistic, Family::asymmetric, Family::tailed, Family::gompertz,
                                Family::sugars};
  constexpr Family kValidation[] = {Family::asymmetric,  Family::gompertz, Family::sugars,   Family::settling,
                                    Family::exponential, Family::limited,  Family::stretched};
  constexpr Family kHeldOut[] = {Family::contois,      Family::contois,    Family::log_logistic,
                                 Family::log_logistic, Family::two_phases, Family::two_phases,
                                 Family::asymmetric,   Family::sugars,     Family::settling};
  switch (chance.split) {
    case Split::tuning:
      return kTuning[chance.random.below(5)];
    case Split::validation:
      return kValidation[chance.random.below(7)];
    case Split::wide: {
      constexpr Family kWide[] = {Family::logistic,    Family::asymmetric,   Family::tailed,
                                  Family::gompertz,    Family::sugars,       Family::settling,
                                  Family::exponential, Family::limited,      Family::stretched,
                                  Family::contois,     Family::log_logistic, Family::two_phases};
      return kWide[chance.random.below(12)];
    }
    case Split::reported: {
      constexpr Family kReported[] = {Family::queued, Family::saturated, Family::inhibited};
      return kReported[chance.random.below(3)];
    }
    case Split::held_out:
      break;
  }
  return kHeldOut[chance.random.below(9)];
}

// The sensors and brewers that people really have.
void widen(Draft& d, Chance& chance) {
  Random& random = chance.random;
  Hydrometer& f = d.hydrometer;
  constexpr int kMinutes[] = {1, 5, 10, 15, 15, 20, 30, 60};
  f.radio.interval = minutes(kMinutes[random.below(8)]);
  f.white_sd = 0.0002 * std::exp2(chance.between(0.0, 2.9));
  f.active_factor = std::clamp(0.0024 / f.white_sd, 1.0, chance.between(1.0, 4.0));
  const int noise = random.below(3);  // correlated noise: none, with activity, constant
  f.correlated_sd = noise == 0 ? 0.0 : chance.between(0.0001, 0.0007);
  f.correlated_constant = noise == 2;
  f.correlation_h = 0.5 * std::pow(24.0, random.uniform());
  f.offset = random.chance(0.7) ? 0.0004 * random.normal() : chance.between(-0.004, 0.004);
  f.per_celsius = random.chance(0.5) ? 0.0 : chance.either_sign(0.00005, 0.0003);
  const double brewer = random.uniform();
  if (brewer < 0.12) d.conduct.step_delay_h = chance.between(24.0, 90.0);
  if (brewer > 0.93) d.conduct.carries_out = false;
}

// How far off the original gravity is that the brewer has entered: usually under a point, seldom a slip.
void misread_original(Draft& d, Random& random) {
  if (!d.spec.original_gravity) return;
  const double off = random.chance(0.03) ? (random.chance(0.5) ? 3.0 : -3.0) : 0.8 * random.normal();
  d.spec.original_gravity = SpecificGravity::unchecked(
      1.0 + std::round((d.spec.original_gravity->value() - 1.0) * 1000.0 + off) / 1000.0);
}

// An ordinary ale with an ordinary hydrometer; every kind starts from here.
Draft everyday(Chance& chance) {
  Draft d;
  Random& random = chance.random;
  d.family = draw_family(chance);
  d.original_gravity = 1.0 + std::round(chance.ranged(38.0, 65.0, 34.0, 72.0)) / 1000.0;
  const double low = std::round(chance.ranged(69.0, 79.0, 66.0, 81.0)) / 100.0;
  const double high = low + std::round(chance.between(4.0, 8.0)) / 100.0;
  d.attenuation = chance.between(low + 0.005, high - 0.005);
  d.half_h = chance.ranged(22.0, 62.0, 20.0, 78.0);
  d.lag_h = chance.between(3.0, 14.0);

  const double first = std::round(chance.ranged(16.0, 20.0, 15.0, 21.0));
  const double second = first + std::round(chance.between(2.0, 4.0));
  d.spec.name = "simulated";
  d.spec.pitched = Time(hours(24 * 20513 + 18)) + minutes(30) + minutes(random.below(24 * 60));
  d.spec.original_gravity = SpecificGravity::unchecked(d.original_gravity);
  d.spec.yeast = Yeast{"", low, high, Celsius{first - std::round(chance.between(2.0, 4.0))},
                       Celsius{second + std::round(chance.between(2.0, 4.0))}};
  const double share = std::round(chance.ranged(65.0, 85.0, 60.0, 88.0)) / 100.0;
  if (random.chance(0.85)) d.spec.plan.push_back(Hold{Celsius{first}, UntilProgress{share}});
  d.spec.plan.push_back(Hold{Celsius{second}, UntilFinalGravity{}});

  d.vessel.wort_celsius = d.spec.plan.front().temperature.value + chance.between(-1.5, 1.5);
  d.vessel.room_celsius = chance.between(14.0, 21.0);
  d.vessel.room_swing_celsius = chance.between(0.5, 2.5);
  d.vessel.time_constant_h = chance.between(10.0, 24.0);
  d.conduct.step_delay_h = chance.between(0.5, 14.0);

  constexpr int kMinutes[] = {5, 10, 15, 15, 15, 20, 30, 30};
  Hydrometer& f = d.hydrometer;
  f.radio.sensor = "hydrometer";
  f.radio.interval = minutes(kMinutes[random.below(8)]);
  f.radio.jitter = chance.between(0.0, 0.1);
  f.radio.first_after_h = chance.between(0.05, 3.0);
  // From good to poor, as many in each half of the scale: 0.2 to 0.8 points while the beer is quiet, and at
  // the peak no more than 2.2.
  f.white_sd = 0.0002 * std::exp2(chance.ranged(0.0, 2.0, -0.3, 2.3));
  f.correlated_sd = chance.ranged(0.0001, 0.0004, 0.0001, 0.0005);
  f.correlation_h = chance.ranged(1.5, 6.0, 1.0, 8.0);
  f.active_factor = std::min(chance.between(2.0, 4.0), 0.0022 / f.white_sd);
  f.spike_chance = chance.between(0.0, 0.006);
  f.offset = chance.between(-0.0008, 0.0008);
  f.per_celsius = chance.between(-0.00005, 0.00005);
  f.drift_per_day = chance.between(-0.00001, 0.00001);
  f.battery_v_per_day = chance.between(0.004, 0.012);
  d.has_probe = random.chance(0.7);
  d.probe.radio.sensor = "probe";
  d.probe.radio.interval = minutes(kMinutes[random.below(8)]);
  d.probe.in_beer = random.chance(0.4);
  if (is_wide(chance.split)) widen(d, chance);
  return d;
}

double hours_when(const Truth& truth, double share) {
  const double level = truth.original_gravity - share * (truth.original_gravity - truth.final_gravity);
  const auto time = truth.first_at_or_below(level);
  return in_hours(time.value_or(truth.end()) - truth.pitched);
}

// What makes a kind: changes to the draft before the beer is brewed, and to its sensors once it is known.
struct Kind {
  const char* name;
  int weight;  // turns in the rota
  bool healthy;
  std::function<void(Draft&, Chance&)> beer;
  std::function<void(Draft&, const Truth&, Chance&)> sensors;
  bool wide_only = false;
};

void nothing(Draft&, Chance&) {}
void no_trouble(Draft&, const Truth&, Chance&) {}

void add_foam(Draft& d, const Truth& truth, double from_share, double hours_long, double lift, bool pinned) {
  const double from = hours_when(truth, from_share);
  d.hydrometer.foam.push_back(Foam{from, from + hours_long, lift, pinned});
}

const std::vector<Kind>& kinds() {
  static const std::vector<Kind> kKinds = {
      // Everyday troubles: the beer is healthy and the hydrometer as good as they come.
      {"clean", 6, true, nothing, no_trouble},
      {"noisy", 2, true, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.hydrometer.white_sd = c.between(0.0012, 0.002);
         d.hydrometer.correlated_sd = c.between(0.0003, 0.0007);
         d.hydrometer.active_factor = c.between(1.0, 1.5);
       }},
      {"spiky", 2, true, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.hydrometer.spike_chance = c.between(0.02, 0.08);
         d.hydrometer.spike_scale = c.between(0.004, 0.02);
       }},
      {"coarse", 2, true, nothing, [](Draft& d, const Truth&, Chance&) { d.hydrometer.resolution = 0.001; }},
      {"every-minute", 1, true, nothing,
       [](Draft& d, const Truth&, Chance&) { d.hydrometer.radio.interval = minutes(1); }},
      {"hourly", 1, true, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.hydrometer.radio.interval = minutes(60);
         d.hydrometer.radio.jitter = c.between(0.05, 0.3);
       }},
      {"gaps", 2, true, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         const int gaps = 2 + c.random.below(3);
         double from = c.between(6.0, 40.0);
         for (int i = 0; i < gaps && from < in_hours(t.end() - t.pitched); ++i) {
           const double to = from + c.between(2.0, 20.0);
           d.hydrometer.radio.outages.push_back(Outage{from, to, c.random.chance(0.4)});
           from = to + c.between(10.0, 80.0);
         }
       }},
      {"days-missing", 1, true, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         const double from = hours_when(t, c.between(0.1, 0.97));
         d.hydrometer.radio.outages = {Outage{from, from + c.between(26.0, 70.0), c.random.chance(0.3)}};
       }},
      {"disorderly", 2, true, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.hydrometer.radio.duplicate_chance = c.between(0.05, 0.4);
         d.hydrometer.radio.late_chance = c.between(0.03, 0.2);
         d.hydrometer.radio.late_mean_h = c.between(0.5, 6.0);
       }},
      {"clock-reset", 1, true, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         constexpr double kYear = 24.0 * 365.25;
         const double offs[] = {-56.0 * kYear, -6.0 * kYear, -1.0 * kYear, 3.0 * kYear, 40.0 * kYear};
         d.hydrometer.radio.clock_reset =
             ClockReset{hours_when(t, c.between(0.05, 0.99)), c.between(1.0, 30.0), offs[c.random.below(5)]};
       }},
      {"late-first-reading", 1, true, nothing,
       [](Draft& d, const Truth&, Chance& c) { d.hydrometer.radio.first_after_h = c.between(5.0, 30.0); }},
      {"no-original-gravity", 2, true, [](Draft& d, Chance&) { d.spec.original_gravity.reset(); },
       no_trouble},
      {"probe-errors", 1, true, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.has_probe = d.probe.in_beer = true;
         d.probe.error_chance = c.between(0.02, 0.3);
       }},
      {"fast-warm", 2, true,
       [](Draft& d, Chance& c) {
         const double warm = std::round(c.between(24.0, 30.0));
         d.spec.plan = {Hold{Celsius{warm}, UntilFinalGravity{}}};
         d.spec.yeast.temperature_low = Celsius{warm - 5.0};
         d.spec.yeast.temperature_high = Celsius{warm + 4.0};
         d.half_h = c.between(9.0, 20.0);
         d.lag_h = c.between(0.0, 5.0);
         d.vessel.wort_celsius = warm - c.between(0.0, 3.0);
         d.vessel.room_celsius = warm - c.between(3.0, 8.0);
       },
       no_trouble},
      {"cool-lager", 3, true,
       [](Draft& d, Chance& c) {
         const double cool = std::round(c.between(9.0, 12.0));
         const double warm = cool + std::round(c.between(3.0, 6.0));
         d.spec.plan = {Hold{Celsius{cool}, UntilProgress{std::round(c.between(70.0, 88.0)) / 100.0}},
                        Hold{Celsius{warm}, UntilFinalGravity{}}};
         d.spec.yeast.temperature_low = Celsius{cool - 2.0};
         d.spec.yeast.temperature_high = Celsius{warm + 3.0};
         d.half_h = c.between(90.0, 210.0);
         d.lag_h = c.between(6.0, 14.0);
         d.vessel.wort_celsius = cool + c.between(-1.0, 4.0);
         d.vessel.room_celsius = c.between(8.0, 16.0);
         if (c.random.chance(0.4)) d.family = Family::settling;
       },
       no_trouble},
      {"cold-rest", 2, true,
       [](Draft& d, Chance& c) {
         d.spec.plan.push_back(
             Hold{Celsius{std::round(c.between(1.0, 5.0))}, UntilDays{std::round(c.between(3.0, 9.0))}});
         d.vessel.room_celsius = c.between(8.0, 14.0);
       },
       no_trouble},

      // Healthy beer under a hydrometer that does not tell the truth.
      {"foam-lifts", 1, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         add_foam(d, t, c.between(0.05, 0.5), c.between(12.0, 60.0), c.between(0.002, 0.008), false);
         if (c.random.chance(0.4))
           add_foam(d, t, c.between(0.85, 0.97), c.between(12.0, 40.0), c.between(0.001, 0.004), false);
       }},
      {"foam-presses", 1, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         add_foam(d, t, c.between(0.1, 0.7), c.between(12.0, 60.0), c.between(-0.008, -0.002), false);
       }},
      {"pinned", 2, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         add_foam(d, t, c.between(0.08, 0.8), c.between(14.0, 80.0), c.between(-0.0005, 0.001), true);
       }},
      {"dry-hopped", 1, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         add_foam(d, t, c.between(0.9, 0.995), c.between(10.0, 50.0), c.either_sign(0.0008, 0.004), false);
       }},
      {"reads-high", 2, false, nothing,
       [](Draft& d, const Truth&, Chance& c) { d.hydrometer.offset = c.between(0.002, 0.007); }},
      {"reads-low", 1, false, nothing,
       [](Draft& d, const Truth&, Chance& c) { d.hydrometer.offset = c.between(-0.007, -0.002); }},
      {"hand-sampled", 1, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         d.hydrometer.offset = c.either_sign(0.002, 0.006);
         d.sample_h = {hours_when(t, c.between(0.3, 0.8)), hours_when(t, 0.99) + c.between(0.0, 30.0)};
       }},
      {"misread-original", 1, false,
       [](Draft& d, Chance& c) {
         const double off = std::round(c.either_sign(1.0, 3.0)) / 1000.0;
         d.spec.original_gravity = SpecificGravity::unchecked(d.original_gravity + off);
       },
       no_trouble},
      {"many-troubles", 2, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         d.hydrometer.offset = c.either_sign(0.001, 0.004);
         d.hydrometer.spike_chance = c.between(0.01, 0.05);
         d.hydrometer.spike_scale = c.between(0.004, 0.012);
         d.hydrometer.correlated_sd = c.between(0.0003, 0.0008);
         d.hydrometer.per_celsius = c.either_sign(0.0001, 0.0003);
         d.hydrometer.radio.late_chance = d.hydrometer.radio.duplicate_chance = c.between(0.02, 0.1);
         const double from = hours_when(t, c.between(0.1, 0.9));
         d.hydrometer.radio.outages = {Outage{from, from + c.between(3.0, 20.0), c.random.chance(0.5)}};
         add_foam(d, t, c.between(0.1, 0.6), c.between(6.0, 30.0), c.either_sign(0.001, 0.004),
                  c.random.chance(0.4));
       }},
      {"drifting", 1, false, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         d.hydrometer.drift_per_day = c.either_sign(0.00006, 0.0002);
       }},
      {"temperature-bias", 2, false,
       [](Draft& d, Chance& c) {
         if (c.random.chance(0.5)) {
           d.spec.plan.push_back(Hold{Celsius{3.0}, UntilDays{5.0}});
           d.vessel.room_celsius = c.between(8.0, 14.0);
         }
       },
       [](Draft& d, const Truth&, Chance& c) { d.hydrometer.per_celsius = c.either_sign(0.00015, 0.0005); }},
      {"frozen", 2, false, [](Draft& d, Chance& c) { d.vessel.controlled = c.random.chance(0.5); },
       [](Draft& d, const Truth& t, Chance& c) {
         d.hydrometer.frozen_after_h = hours_when(t, c.between(0.05, 0.97));
       }},
      {"dying-battery", 2, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         d.has_probe = true;
         const double lives_days = hours_when(t, c.between(0.2, 0.99)) / 24.0 + c.between(0.0, 2.0);
         d.hydrometer.battery_v_per_day = 0.8 / std::max(1.0, lives_days);
       }},

      // Beer that is not ordinary.
      {"long-lag", 1, false,
       [](Draft& d, Chance& c) {
         d.lag_h = is_wide(c.split) ? c.between(40.0, 72.0) : c.between(34.0, 70.0);
         if (d.family == Family::exponential) d.family = Family::limited;
       },
       no_trouble},
      {"never-started", 2, false,
       [](Draft& d, Chance& c) {
         d.never_starts = true;
         d.longest_days = c.between(6.0, 16.0);
       },
       no_trouble},
      {"strong", 1, false,
       [](Draft& d, Chance& c) {
         d.original_gravity = 1.0 + std::round(c.between(78.0, 112.0)) / 1000.0;
         d.spec.original_gravity = SpecificGravity::unchecked(d.original_gravity);
         d.half_h = c.between(45.0, 110.0);
       },
       no_trouble},
      {"slow-tail", 2, false,
       [](Draft& d, Chance& c) {
         d.family = c.random.chance(0.5) ? Family::exponential : Family::tailed;
         d.tail = Tail::long_drawn;
         d.half_h *= c.between(1.0, 1.8);
       },
       no_trouble},
      {"ends-above", 1, false,
       [](Draft& d, Chance& c) { d.attenuation = d.spec.yeast.attenuation_low - c.between(0.01, 0.035); },
       no_trouble},
      {"ends-below", 1, false,
       [](Draft& d, Chance& c) { d.attenuation = d.spec.yeast.attenuation_high + c.between(0.005, 0.025); },
       no_trouble},
      {"step-late", 1, false, [](Draft& d, Chance& c) { d.conduct.step_delay_h = c.between(24.0, 90.0); },
       no_trouble},
      {"step-never", 1, false,
       [](Draft& d, Chance&) {
         d.conduct.carries_out = false;
         if (d.spec.plan.size() == 1) {
           Hold first{d.spec.plan[0].temperature + CelsiusDelta{-3.0}, UntilProgress{0.75}};
           d.spec.plan.insert(d.spec.plan.begin(), first);
         }
       },
       no_trouble},
      {"too-warm", 1, false,
       [](Draft& d, Chance& c) {
         d.vessel.controlled = c.random.chance(0.5);
         d.vessel.can_cool = false;
         const double high = d.spec.yeast.temperature_high.value;
         if (d.vessel.controlled) {
           d.vessel.warm_afternoon_celsius = c.between(20.0, 30.0);
           d.vessel.warm_afternoon_h = c.between(40.0, 200.0);
           d.vessel.warm_afternoon_lasts_h = c.between(24.0, 60.0);
         } else {
           d.vessel.room_celsius = high - c.between(-1.0, 2.0);
           d.vessel.wort_celsius = high - c.between(1.0, 3.0);
         }
       },
       no_trouble},
      {"stopped-by-cold", 2, false,
       [](Draft& d, Chance& c) {
         const double first = d.spec.plan.front().temperature.value;
         const double cold = first - c.between(5.0, 8.0);
         d.halt.too_cold_below = first - 4.0;
         d.halt.settling_h = c.between(2.0, 8.0);
         d.vessel.room_celsius = cold - 1.0;
         d.conduct.carries_out = false;
         d.conduct.other = {Setting{d.lag_h + d.half_h * c.between(0.7, 1.15), cold}};
         d.longest_days = 18.0;
       },
       no_trouble},
      {"gave-up", 2, false,
       [](Draft& d, Chance& c) {
         d.halt.gives_up_at = c.between(0.3, 0.72);
         d.halt.settling_h = c.between(2.0, 8.0);
         d.longest_days = 18.0;
       },
       no_trouble},
      {"settled-out", 1, false,
       [](Draft& d, Chance& c) {
         d.stalls_by_settling = true;
         const double cellar = c.between(16.5, 19.0);
         d.spec.plan = {Hold{Celsius{cellar}, UntilFinalGravity{}}};
         d.vessel.wort_celsius = cellar;
         d.spec.yeast.temperature_low = Celsius{cellar - 4.0};
         d.spec.yeast.temperature_high = Celsius{cellar + 4.0};
         d.lag_h = 0.0;
         d.longest_days = 18.0;
       },
       no_trouble},
      {"restarted", 2, false,
       [](Draft& d, Chance& c) {
         const double first = d.spec.plan.front().temperature.value;
         d.halt.gives_up_at = c.between(0.3, 0.7);
         d.halt.gives_up_wakes_above = first + 1.5;
         d.halt.settling_h = c.between(3.0, 8.0);
         const double warmed = d.lag_h + d.half_h * 2.0 + c.between(70.0, 150.0);
         d.conduct.other = {Setting{warmed, first + 3.5}};
         d.spec.plan = {Hold{Celsius{first}, UntilProgress{0.8}},
                        Hold{Celsius{first + 3.5}, UntilFinalGravity{}}};
         d.spec.yeast.temperature_high = Celsius{first + 6.0};
       },
       no_trouble},
      {"sluggish", 1, false,
       [](Draft& d, Chance& c) {
         d.half_h = c.between(120.0, 200.0);
         d.spec.plan = {Hold{d.spec.plan.front().temperature, UntilFinalGravity{}}};
       },
       no_trouble},
      {"creeping", 3, false,
       [](Draft& d, Chance& c) {
         d.attenuation = d.spec.yeast.attenuation_high - c.between(0.0, 0.03);
         const double fall = (d.original_gravity - 1.0) * 1000.0 * d.attenuation;
         d.creep = c.between(5.0, 9.0) / fall;
         d.creep_per_day =
             (is_wide(c.split) ? 0.2 * std::pow(15.0, c.random.uniform()) : c.ranged(0.25, 0.6, 0.2, 0.8)) /
             fall;
         d.longest_days = 50.0;
       },
       no_trouble},

      // Rhythms of wide splits only.
      {"few-readings", 3, false, nothing,
       [](Draft& d, const Truth&, Chance& c) {
         constexpr int kHours[] = {2, 3, 4, 6, 8, 12, 24};
         d.hydrometer.radio.interval = hours(kHours[c.random.below(7)]);
         d.hydrometer.radio.jitter = c.between(0.0, 0.05);
         d.hydrometer.white_sd = std::min(d.hydrometer.white_sd, 0.0008);
         d.hydrometer.active_factor = 1.5;
       },
       true},
      {"hand-only", 1, false, [](Draft& d, Chance&) { d.has_float = d.has_probe = false; },
       [](Draft& d, const Truth& t, Chance& c) {
         for (double hour = c.between(8.0, 24.0); hour < in_hours(t.end() - t.pitched);
              hour += 24.0 + c.between(-3.0, 3.0)) {
           d.sample_h.push_back(hour);
         }
       },
       true},
      {"joins-late", 2, false, nothing,
       [](Draft& d, const Truth& t, Chance& c) {
         d.hydrometer.radio.first_after_h = hours_when(t, c.between(0.2, 0.7));
       },
       true},
  };
  return kKinds;
}

std::unique_ptr<Kinetics> kinetics_for(const Draft& d, Random random) {
  std::unique_ptr<Kinetics> kinetics;
  // Beer that starts without a lag was pitched with plenty of yeast, and is soon done.
  const bool at_once = d.family == Family::exponential;
  if (d.stalls_by_settling) {
    kinetics = settling_cells();
  } else {
    kinetics = kinetics_of(d.family, at_once ? 0.5 * d.half_h : d.half_h,
                           d.spec.plan.front().temperature.value, d.tail, random);
  }
  if (d.halt.gives_up_at || d.halt.too_cold_below) {
    kinetics = std::make_unique<HaltingKinetics>(std::move(kinetics), d.halt);
  }
  if (d.creep > 0.0)
    kinetics = std::make_unique<CreepingKinetics>(std::move(kinetics), d.creep, d.creep_per_day);
  const double lag_h = d.never_starts ? 1e7 : (at_once ? 0.1 * d.lag_h : d.lag_h);
  if (lag_h > 0.0) kinetics = std::make_unique<LaggingKinetics>(std::move(kinetics), lag_h);
  return kinetics;
}

// Ends the record where a brewer who waited ten days for an answer would have given up.
void cut(Truth& truth, const BatchSpec& spec) {
  if (!truth.finished) return;
  const Duration wanted = (*truth.finished - truth.pitched) + spec.final_gravity.window + days(11);
  const auto size = static_cast<std::size_t>(wanted / truth.grid) + 1;
  if (size >= truth.gravity.size()) return;
  truth.gravity.resize(size);
  truth.beer_temperature.resize(size);
  truth.ambient_temperature.resize(size);
  for (auto& over : truth.hold_over) {
    if (over && *over > truth.end()) over.reset();
  }
}

// Maximal spans of the record inside which a condition holds all the time, if they last long enough.
template <class Inside>
std::vector<Span> spans_where(const Truth& truth, Duration at_least, Inside inside) {
  std::vector<Span> spans;
  bool was_inside = false;
  for (Time time = truth.pitched; time <= truth.end(); time += truth.grid) {
    const bool is_inside = inside(time);
    if (is_inside && !was_inside) spans.push_back(Span{time, time});
    if (is_inside) spans.back().to = time;
    was_inside = is_inside;
  }
  std::erase_if(spans, [&](const Span& span) { return span.to - span.from < at_least; });
  return spans;
}

void derive_facts(SimulatedBatch& batch) {
  const Truth& truth = batch.truth;
  batch.never_started = !truth.started.has_value();
  if (truth.started) {
    auto stops = spans_where(truth, hours(36), [&](Time time) {
      return time > *truth.started && truth.rate_at(time) < 0.5 &&
             truth.gravity_at(time) - truth.nominal_final > 0.005;
    });
    // A long tail passes through such rates too, but does not stop there.
    std::erase_if(stops, [&](const Span& stop) {
      return truth.gravity_at(stop.from) - truth.gravity_at(stop.from + hours(36)) > 0.0004;
    });
    if (!stops.empty()) batch.stuck = stops.front();
  }
  const Yeast& yeast = batch.spec.yeast;
  const double lower = yeast.temperature_low.value;
  const double upper = yeast.temperature_high.value;
  batch.out_of_range = spans_where(truth, hours(6), [&](Time time) {
    for (std::size_t hold = 0; hold < batch.spec.plan.size(); ++hold) {
      const double planned = batch.spec.plan[hold].temperature.value;
      if ((planned < lower || planned > upper) && truth.set_to[hold] && time >= *truth.set_to[hold])
        return false;
    }
    const double celsius = truth.beer_at(time);
    return celsius < lower - 0.5 || celsius > upper + 0.5;
  });
  const double extract = truth.original_gravity - 1.0;
  const double over = truth.original_gravity - extract * (yeast.attenuation_high + 0.03);
  batch.over_attenuated = truth.first_at_or_below(over);
  batch.step_ignored = truth.hold_over.size() > 1 && truth.hold_over[0] && !truth.set_to[1];

  std::optional<Time> previous;
  batch.first_gravity = truth.end();
  const Duration long_silence = std::max<Duration>(days(1), 5 * batch.hydrometer.radio.interval / 2);
  for (const DeliveredReading& row : batch.readings) {
    if (row.reading.quantity != Quantity::gravity) continue;
    if (!previous) batch.first_gravity = row.delivered;
    if (previous && row.delivered - *previous >= long_silence)
      batch.float_silent.push_back(Span{*previous, row.delivered});
    previous = row.delivered;
  }
  if (previous && truth.end() - *previous >= long_silence)
    batch.float_silent.push_back(Span{*previous, truth.end()});
  if (!previous && !batch.readings.empty()) batch.first_gravity = batch.readings.front().delivered;
}

// Hand samples: a careful brewer's hydrometer, good to half a point.
std::vector<RehearsedMessage> samples_of(const Draft& d, const Truth& truth, Random random) {
  std::vector<RehearsedMessage> out;
  for (double hour : d.sample_h) {
    const Time time = truth.pitched + from_hours(hour);
    if (time > truth.end()) continue;
    const double value = std::round((truth.gravity_at(time) + 0.0004 * random.normal()) * 2000.0) / 2000.0;
    out.push_back(RehearsedMessage{time, time, "hand", {Reading{time, "hand", Quantity::sample, value}}});
  }
  return out;
}

const Kind& kind_for(Split split, std::uint64_t seed, const std::optional<std::string>& wanted) {
  if (wanted) {
    for (const Kind& kind : kinds()) {
      if (*wanted == kind.name) return kind;
    }
    throw std::invalid_argument("no kind of batch is called " + *wanted);
  }
  const auto weight_of = [&](const Kind& kind) {
    return kind.wide_only && !is_wide(split) ? std::uint64_t{0} : static_cast<std::uint64_t>(kind.weight);
  };
  std::uint64_t turns = 0;
  for (const Kind& kind : kinds()) turns += weight_of(kind);
  // A step that has no common factor with the number of turns visits every turn once in a round.
  std::uint64_t turn = (seed * 37) % turns;
  for (const Kind& kind : kinds()) {
    const auto weight = weight_of(kind);
    if (turn < weight) return kind;
    turn -= weight;
  }
  return kinds().front();
}

}  // namespace

std::string_view name(Split split) {
  constexpr std::string_view kNames[] = {"tuning", "validation", "held-out", "wide", "reported"};
  return kNames[static_cast<std::size_t>(split)];
}

double SimulatedBatch::to_go(Time time) const {
  const bool is_stuck = stuck && time >= stuck->from && time < stuck->to;
  const double end =
      is_stuck || never_started ? std::min(truth.nominal_final, truth.final_gravity) : truth.final_gravity;
  return (truth.gravity_at(time) - end) * 1000.0;
}

double SimulatedBatch::fallen_share(Time time) const {
  const double fall = truth.original_gravity - truth.final_gravity;
  return fall > 0.0 ? (truth.original_gravity - truth.gravity_at(time)) / fall : 0.0;
}

std::optional<Time> SimulatedBatch::when_fallen(double share) const {
  return truth.first_at_or_below(truth.original_gravity -
                                 share * (truth.original_gravity - truth.final_gravity));
}

std::vector<std::string> kind_names() {
  std::vector<std::string> names;
  for (const Kind& kind : kinds()) names.emplace_back(kind.name);
  return names;
}

SimulatedBatch simulate(Split split, std::uint64_t seed, const std::optional<std::string>& wanted) {
  const Kind& kind = kind_for(split, seed, wanted);
  constexpr std::uint64_t kStreams[] = {7919, 7920, 2'000'000'011, 3'000'000'019, 5'000'000'029};
  Chance chance{Random(seed * 2 + kStreams[static_cast<std::size_t>(split)]), split};
  Draft draft = everyday(chance);
  kind.beer(draft, chance);
  if (is_wide(split)) misread_original(draft, chance.random);
  const double nominal_final = draft.original_gravity - draft.attenuation * (draft.original_gravity - 1.0);
  Truth truth = brew(draft.spec, SpecificGravity::unchecked(draft.original_gravity),
                     SpecificGravity::unchecked(nominal_final), kinetics_for(draft, chance.random.branch()),
                     draft.vessel, draft.conduct, from_hours(24 * draft.longest_days));
  cut(truth, draft.spec);
  kind.sensors(draft, truth, chance);

  SimulatedBatch batch{kind.name,
                       seed,
                       draft.family,
                       draft.spec,
                       std::move(truth),
                       draft.hydrometer,
                       {},
                       kind.healthy,
                       {},
                       {},
                       {},
                       {},
                       {},
                       false,
                       false,
                       {}};
  batch.spec.name = std::string(kind.name) + " " + std::to_string(seed);
  std::vector<std::vector<RehearsedMessage>> each;
  if (draft.has_float) each.push_back(messages_of(draft.hydrometer, batch.truth, chance.random.branch()));
  if (draft.has_probe) each.push_back(messages_of(draft.probe, batch.truth, chance.random.branch()));
  each.push_back(samples_of(draft, batch.truth, chance.random.branch()));
  for (const RehearsedMessage& message : merged(std::move(each))) {
    for (const Reading& reading : message.readings)
      batch.readings.push_back(DeliveredReading{message.delivered, reading});
  }
  if (draft.hydrometer.frozen_after_h) {
    batch.float_frozen = batch.spec.pitched + from_hours(*draft.hydrometer.frozen_after_h);
  }
  derive_facts(batch);
  return batch;
}

}  // namespace gyle::simulation
