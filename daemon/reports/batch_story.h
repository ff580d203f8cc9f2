#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "packaging/energy.h"
#include "packaging/fill.h"
#include "units/alcohol.h"
#include "units/gravity.h"
#include "wording/explanation.h"

namespace gyle {

// A gravity measured by hand, at 20 degC.
struct StorySample {
  Time time;
  SpecificGravity gravity;
};

struct StoryNote {
  Time time;
  std::string text;
  bool tasting = false;
};

// Everything that a report of one batch uses. The lists are in order of time.
struct BatchStory {
  std::string vessel;
  BatchSpec spec;
  std::optional<Time> packaged;  // absent while it is in the vessel
  BatchView view;
  std::vector<CurvePoint> curve;
  std::vector<UsedReading> beer;  // its temperatures as measured
  std::vector<ReportedDecision> alerts;
  std::vector<StorySample> samples;
  std::vector<StoryNote> notes;
  std::vector<UsedReading> ambient = {};  // temperatures around it
  std::vector<Fill> fills = {};           // what it was filled into
};

// The figures of a batch. A figure that cannot be known is absent.
struct StoryFigures {
  std::optional<AlcoholRoutes> alcohol;    // so far
  std::optional<Interval> alcohol_volume;  // fraction, over the 80 % interval of the gravity
  std::optional<Energy> energy_100_ml;
  std::optional<double> warmest_celsius;  // since it stopped making gas (packaging/warmest_beer.h)
  std::optional<double> residual_co2;     // volumes (units/residual_co2.h)
  std::optional<Interval> beer;           // degC: average over time, coldest, warmest
  std::optional<double> within_range;     // share of the time in the yeast's range, 0 to 1
  Duration longest_gap{};                 // between gravity readings
};
StoryFigures figures_of(const BatchStory& story);

}  // namespace gyle
