#pragma once

#include <memory>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/event.h"
#include "fermentation/view.h"
#include "fermentation/what_if.h"

namespace gyle {

// What one event led to, each list in order of time.
struct Outcome {
  std::vector<Decision> decisions;
  std::vector<CurvePoint> curve;      // a point per accepted gravity reading
  std::vector<Forecast> forecasts;    // a row every 6 h of event time from the first reading
  std::vector<UsedReading> measured;  // temperatures and samples that were used
};

// Watches one batch: the whole judgement behind one call. Live, after a restart, in a replay and in a
// simulation, only the source of the events differs.
//   order    events in order of delivery. Their times may run backwards or be absurd (a sensor's clock was
//            reset): event time is the largest plausible time so far and never goes back. Decisions that
//            depend on time alone are made on a fixed grid of event time: the rate of ticks has no influence.
//   pure     no clock, no I/O, no randomness: the same events give the same outcomes. A value: copies are
//            independent and continue alike.
//   input    any double in a Reading, NaN and infinities included; what is not plausible is refused.
//   threads  one at a time per tracker.
class Tracker {
 public:
  explicit Tracker(BatchSpec spec);  // the spec must have passed validate()
  Tracker(const Tracker&);
  Tracker(Tracker&&) noexcept;
  Tracker& operator=(const Tracker&);
  Tracker& operator=(Tracker&&) noexcept;
  ~Tracker();

  Outcome advance(const Event& event);
  BatchView view() const;
  // The forecast, or what it would be; changes nothing.
  Outlook outlook(const WhatIf& question) const;
  const BatchSpec& spec() const;

 private:
  class Judgement;
  std::unique_ptr<Judgement> judgement_;
};

}  // namespace gyle
