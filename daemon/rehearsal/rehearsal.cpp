#include "rehearsal/rehearsal.h"

#include <memory>
#include <utility>

namespace gyle {
namespace {

std::unique_ptr<Kinetics> kinetics_of(const Scenario& scenario) {
  std::unique_ptr<Kinetics> kinetics = std::make_unique<SigmoidKinetics>(scenario.shape);
  if (scenario.halt.gives_up_at || scenario.halt.too_cold_below) {
    kinetics = std::make_unique<HaltingKinetics>(std::move(kinetics), scenario.halt);
  }
  if (scenario.creep > 0.0) {
    kinetics =
        std::make_unique<CreepingKinetics>(std::move(kinetics), scenario.creep, scenario.creep_per_day);
  }
  if (scenario.lag_h > 0.0) kinetics = std::make_unique<LaggingKinetics>(std::move(kinetics), scenario.lag_h);
  return kinetics;
}

}  // namespace

Result<Rehearsal> rehearse(const RehearsalOptions& options) {
  BOOST_OUTCOME_TRY(scenario, scenario_named(options.scenario));
  if (options.interval && (*options.interval < minutes(1) || *options.interval > hours(6))) {
    return fail(Errc::out_of_range, "the interval between messages must be between 1 min and 6 h");
  }
  scenario.spec.pitched = options.pitched;
  scenario.spec.original_gravity = scenario.original_gravity;
  scenario.hydrometer.radio.sensor = options.hydrometer_sensor;
  scenario.probe.radio.sensor = options.probe_sensor;
  if (options.interval)
    scenario.hydrometer.radio.interval = scenario.probe.radio.interval = *options.interval;

  // The seed varies the truth too, so that two seeds are two batches and not one batch with different noise.
  Random random(options.seed);
  scenario.shape.midpoint_h *= random.between(0.93, 1.07);
  scenario.shape.steepness_per_h *= random.between(0.93, 1.07);
  scenario.nominal_final =
      SpecificGravity::unchecked(scenario.nominal_final.value() + random.between(-0.0008, 0.0008));
  scenario.hydrometer.offset += random.between(-0.0008, 0.0008);

  Rehearsal rehearsal{scenario.spec,
                      {},
                      brew(scenario.spec, scenario.original_gravity, scenario.nominal_final,
                           kinetics_of(scenario), scenario.vessel, scenario.conduct, scenario.lasts)};
  std::vector<std::vector<RehearsedMessage>> each;
  each.push_back(messages_of(scenario.hydrometer, rehearsal.truth, random.branch()));
  each.push_back(messages_of(scenario.probe, rehearsal.truth, random.branch()));
  rehearsal.messages = merged(std::move(each));
  return rehearsal;
}

}  // namespace gyle
