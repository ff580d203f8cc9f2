#pragma once

#include <cmath>
#include <string>

#include "base/rfc3339.h"
#include "reports/batch_story.h"

namespace gyle::test {

// A packaged batch that fell from 1.048 to 1.012 in ten days; `text` is used for everything a person enters.
inline BatchStory made_up_story(const std::string& text = "Amber no. 12",
                                Time pitched = parse_rfc3339("2026-03-01T18:30:00Z").value()) {
  BatchStory story;
  story.vessel = text;
  story.spec.name = text;
  story.spec.pitched = pitched;
  story.spec.original_gravity = SpecificGravity::unchecked(1.048);
  story.spec.volume_l = 20;
  story.spec.yeast.name = text;
  story.spec.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{21}, UntilFinalGravity{}}};
  story.packaged = pitched + days(11);
  for (int i = 0; i < 960; ++i) {
    const double h = 0.25 * (i + 1);
    const double gravity = 1.012 + 0.036 / (1 + std::exp(0.09 * (h - 50)));
    story.curve.push_back({pitched + from_hours(h),
                           gravity + 0.0006 * std::sin(i * 2.4),
                           {gravity, gravity - 0.0007, gravity + 0.0007},
                           Celsius{h < 80 ? 18.0 : 21.0},
                           (1.048 - gravity) / 0.048,
                           h < 20    ? Stage::lag
                           : h < 150 ? Stage::active
                                     : Stage::finished});
    story.beer.push_back({story.curve.back().time, Quantity::beer_temperature, h < 80 ? 18.0 : 21.0});
  }
  BatchView& view = story.view;
  view.time = story.curve.back().time;
  view.stage = Stage::finished;
  view.gravity = Interval{1.012, 1.0114, 1.0126};
  view.original_gravity = 1.048;
  view.attenuation = 0.75;
  view.temperature = Celsius{21};
  view.started = pitched + hours(20);
  view.final_gravity_since = pitched + hours(200);
  view.holds_over = 2;
  view.offset = PointsInterval{{0.4}, {-0.2}, {1.0}};
  SensorHealth health;
  health.sensor = text;
  health.last_heard = view.time;
  health.usual_interval = minutes(15);
  health.silent = true;
  view.sensors = {health};
  view.reasons = {{Finding::waiting_to_be_stable, {{"change_points", 0.2}}}};
  const auto told = [&](int at_hours, AlertKind kind, std::optional<int> step, Evidence evidence) {
    Decision decision;
    decision.time = pitched + hours(at_hours);
    decision.kind = kind;
    decision.step = step;
    decision.evidence = std::move(evidence);
    story.alerts.push_back({decision, text + ": it is so."});
  };
  told(20, AlertKind::fermentation_started, {}, {{"gravity_sg", 1.0465}});
  told(72, AlertKind::step_due, 1, {{"gravity_sg", 1.0205}, {"attenuation", 0.57}});
  told(200, AlertKind::final_gravity_stable, {}, {{"final_gravity_sg", 1.012}, {"confidence", 0.97}});
  story.samples = {{pitched + hours(100), SpecificGravity::unchecked(1.0125)}};
  story.notes = {{pitched + hours(90), text + "\n" + text}};
  return story;
}

}  // namespace gyle::test
