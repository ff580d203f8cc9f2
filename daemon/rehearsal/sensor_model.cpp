#include "rehearsal/sensor_model.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace gyle {
namespace {

constexpr double kFadeHours = 2.0;
constexpr double kBusyPointsPerDay = 12.0;
constexpr double kClingingSd = 0.00008;  // SG: a pinned hydrometer still moves a little

double rounded(double value, double resolution) {
  return resolution > 0.0 ? std::round(value / resolution) * resolution : value;
}

// Correlated noise with the time constant `correlation_h` and standard deviation 1.
class CorrelatedNoise {
 public:
  CorrelatedNoise(double correlation_h, Random& random)
      : correlation_h_(correlation_h), random_(random), value_(random.normal()) {}
  double next(double elapsed_h) {
    const double kept = std::exp(-elapsed_h / correlation_h_);
    value_ = value_ * kept + std::sqrt(1.0 - kept * kept) * random_.normal();
    return value_;
  }

 private:
  double correlation_h_;
  Random& random_;
  double value_;
};

// When a sensor measures, and how each message is delivered.
class Schedule {
 public:
  Schedule(const Radio& radio, const Truth& truth, Random random)
      : radio_(radio), truth_(truth), random_(random), next_h_(radio.first_after_h) {}

  // Hours since the pitch of the next measurement; none after the end of the record.
  std::optional<double> next() {
    const double hour = next_h_;
    if (truth_.pitched + from_hours(hour) > truth_.end()) return std::nullopt;
    const double interval = in_hours(radio_.interval);
    next_h_ += interval * std::max(0.2, 1.0 + radio_.jitter * random_.normal());
    return hour;
  }

  void send(double hour, std::vector<Reading> readings, std::vector<RehearsedMessage>& out) {
    double delivered_h = hour;
    for (const Outage& outage : radio_.outages) {
      if (hour < outage.from_h || hour >= outage.to_h) continue;
      if (!outage.kept) return;
      delivered_h = outage.to_h;
    }
    if (random_.chance(radio_.late_chance)) delivered_h += radio_.late_mean_h * random_.exponential();
    double stamp_h = hour;
    if (const auto& reset = radio_.clock_reset;
        reset && hour >= reset->at_h && hour < reset->at_h + reset->lasts_h) {
      stamp_h += reset->off_by_h;
    }
    RehearsedMessage message{truth_.pitched + from_hours(delivered_h), truth_.pitched + from_hours(stamp_h),
                             radio_.sensor, std::move(readings)};
    for (Reading& reading : message.readings) {
      reading.time = message.stamp;
      reading.sensor = radio_.sensor;
    }
    out.push_back(message);
    if (random_.chance(radio_.duplicate_chance)) {
      message.delivered += from_hours(random_.chance(0.5) ? 0.0 : random_.exponential());
      out.push_back(std::move(message));
    }
  }

 private:
  const Radio& radio_;
  const Truth& truth_;
  Random random_;
  double next_h_;
};

void sort_by_delivery(std::vector<RehearsedMessage>& messages) {
  std::stable_sort(messages.begin(), messages.end(),
                   [](const auto& a, const auto& b) { return a.delivered < b.delivered; });
}

Reading reading_of(Quantity quantity, double value) { return Reading{Time{}, {}, quantity, value}; }

const Foam* foam_at(const Hydrometer& sensor, double hour) {
  for (const Foam& foam : sensor.foam) {
    if (hour >= foam.from_h && hour < foam.to_h) return &foam;
  }
  return nullptr;
}

}  // namespace

double shown_gravity(const Hydrometer& sensor, const Truth& truth, Time time) {
  return truth.gravity_at(time) + sensor.offset + sensor.drift_per_day * in_days(time - truth.pitched) +
         sensor.per_celsius * (truth.beer_at(time) - 20.0);
}

std::vector<RehearsedMessage> messages_of(const Hydrometer& sensor, const Truth& truth, Random random) {
  std::vector<RehearsedMessage> out;
  Schedule schedule(sensor.radio, truth, random.branch());
  CorrelatedNoise slow(sensor.correlation_h, random);
  CorrelatedNoise clinging(6.0, random);
  double last_h = 0.0;
  std::optional<double> frozen;
  while (const auto hour = schedule.next()) {
    const Time time = truth.pitched + from_hours(*hour);
    const double busy = std::clamp(truth.rate_at(time) / kBusyPointsPerDay, 0.0, 1.0);
    const double louder = 1.0 + (sensor.active_factor - 1.0) * busy;
    const double wander = slow.next(*hour - last_h);
    const double cling = clinging.next(*hour - last_h);
    const double white = random.normal();
    last_h = *hour;

    double shown = shown_gravity(sensor, truth, time);
    const Foam* foam = foam_at(sensor, *hour);
    if (foam != nullptr && foam->pinned) {
      const Time held_from = truth.pitched + from_hours(foam->from_h);
      shown = shown_gravity(sensor, truth, held_from) + foam->lift + kClingingSd * (white + 3.0 * cling);
    } else {
      if (foam != nullptr) {
        const double fade =
            std::min({1.0, (*hour - foam->from_h) / kFadeHours, (foam->to_h - *hour) / kFadeHours});
        shown += foam->lift * fade * (1.0 + 0.15 * cling);
      }
      shown += louder * sensor.white_sd * white +
               (sensor.correlated_constant ? 1.0 : louder) * sensor.correlated_sd * wander;
    }
    if (random.chance(sensor.spike_chance)) {
      shown += sensor.spike_scale * random.exponential() * (random.chance(0.5) ? 1.0 : -1.0);
    }
    double gravity = rounded(shown, sensor.resolution);
    if (sensor.frozen_after_h && *hour >= *sensor.frozen_after_h) {
      if (!frozen) frozen = gravity;
      gravity = *frozen;
    }
    const double celsius =
        rounded(truth.beer_at(time) + sensor.temperature_sd * random.normal(), sensor.temperature_resolution);
    const double volt = sensor.battery_v - sensor.battery_v_per_day * *hour / 24.0 + 0.005 * random.normal();
    if (volt < sensor.battery_empty_v) break;
    schedule.send(*hour,
                  {reading_of(Quantity::gravity, gravity), reading_of(Quantity::beer_temperature, celsius),
                   reading_of(Quantity::battery, rounded(volt, 0.01))},
                  out);
  }
  sort_by_delivery(out);
  return out;
}

std::vector<RehearsedMessage> messages_of(const Probe& sensor, const Truth& truth, Random random) {
  std::vector<RehearsedMessage> out;
  Schedule schedule(sensor.radio, truth, random.branch());
  const auto measured = [&](double celsius) {
    const double noise = sensor.sd * random.normal();
    if (random.chance(sensor.error_chance)) return random.chance(0.5) ? 85.0 : -127.0;
    return rounded(celsius + noise, sensor.resolution);
  };
  while (const auto hour = schedule.next()) {
    const Time time = truth.pitched + from_hours(*hour);
    std::vector<Reading> readings{
        reading_of(Quantity::ambient_temperature, measured(truth.ambient_at(time)))};
    if (sensor.in_beer)
      readings.push_back(reading_of(Quantity::beer_temperature, measured(truth.beer_at(time))));
    schedule.send(*hour, std::move(readings), out);
  }
  sort_by_delivery(out);
  return out;
}

std::vector<RehearsedMessage> merged(std::vector<std::vector<RehearsedMessage>> each) {
  std::vector<RehearsedMessage> all;
  for (auto& messages : each) {
    all.insert(all.end(), std::make_move_iterator(messages.begin()), std::make_move_iterator(messages.end()));
  }
  sort_by_delivery(all);
  return all;
}

}  // namespace gyle
