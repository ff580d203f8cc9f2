#pragma once

#include <memory>
#include <vector>

#include "fermentation/tracker.h"
#include "rehearsal/beer_model.h"
#include "rehearsal/sensor_model.h"

namespace gyle::bench {

struct Recording {
  BatchSpec spec;
  std::vector<Reading> readings;
};

// A cool beer over 60 days; the hydrometer (three quantities) and the probe speak at the given interval.
inline Recording sixty_days(Duration interval) {
  Recording recording;
  BatchSpec& spec = recording.spec;
  spec.name = "sixty days";
  spec.pitched = Time(hours(24 * 20513));
  spec.original_gravity = SpecificGravity::unchecked(1.052);
  spec.yeast = Yeast{"", 0.72, 0.80, Celsius{8.0}, Celsius{18.0}};
  spec.plan = {Hold{Celsius{11.0}, UntilProgress{0.75}}, Hold{Celsius{15.0}, UntilFinalGravity{}}};
  const SigmoidShape shape{110.0, 0.035, 0.8, 0.06, 3.0, 20.0, 2.0};
  const Truth truth = brew(spec, SpecificGravity::unchecked(1.052), SpecificGravity::unchecked(1.0125),
                           std::make_unique<SigmoidKinetics>(shape), VesselModel{}, Conduct{}, days(60));
  Hydrometer hydrometer;
  hydrometer.radio.sensor = "hydrometer";
  hydrometer.radio.interval = interval;
  hydrometer.battery_v_per_day = 0.005;
  Probe probe;
  probe.radio.sensor = "probe";
  probe.radio.interval = interval;
  Random random(1);
  std::vector<std::vector<RehearsedMessage>> each;
  each.push_back(messages_of(hydrometer, truth, random.branch()));
  each.push_back(messages_of(probe, truth, random.branch()));
  for (const RehearsedMessage& message : merged(std::move(each))) {
    recording.readings.insert(recording.readings.end(), message.readings.begin(), message.readings.end());
  }
  return recording;
}

}  // namespace gyle::bench
