#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"

namespace gyle {

// How a yeast fermented one batch.
struct YeastRun {
  double original_gravity;         // SG, given or inferred
  double final_gravity;            // SG
  double attenuation;              // apparent, 0 to 1
  std::optional<double> lag_days;  // from the pitch until fermentation was detected
  double final_days;               // from the pitch until final gravity, without the window that confirms it
  std::optional<double> celsius;   // of the beer until then, averaged over time
  // From the pitch until half of the fall was over, in thermal hours (fermentation/temperature_track.h).
  std::optional<double> half_hours = {};
};

// Absent for a batch without a stable final gravity at its end, and for one that was packaged before. `view`:
// at the end; `decisions`: all; `curve`: its course.
std::optional<YeastRun> yeast_run(const BatchSpec& batch, const BatchView& view,
                                  std::span<const Decision> decisions, std::span<const CurvePoint> curve);

// All batches with a yeast.
struct YeastHistory {
  struct Batch {
    std::int64_t id;
    std::string name;
    Time pitched;
    YeastRun run;
  };
  std::string name;            // as it was last written
  std::vector<Batch> batches;  // those that count, by their pitch
  std::size_t others = 0;      // that have no stable final gravity, or not yet

  std::vector<YeastRun> runs() const;
};

// One figure of several batches.
struct Spread {
  std::size_t count = 0;
  double median = 0;
  double low = 0;                   // the smallest
  double high = 0;                  // the largest
  std::optional<double> deviation;  // standard, of two or more
};
Spread spread_of(std::span<const double> values);

struct YeastSummary {
  Spread attenuation;
  Spread lag_days;
  Spread final_days;
  Spread celsius;
};
YeastSummary summary_of(std::span<const YeastRun> runs);

// The runs that were kept between two temperatures, the lower one included.
struct YeastAtTemperature {
  Celsius low;
  Celsius high;
  YeastSummary summary;  // its attenuations count the runs
};
// In bands of 2 degC from an even number, coldest first; bands without a run are left out, and runs without
// a temperature.
std::vector<YeastAtTemperature> by_temperature(std::span<const YeastRun> runs);

struct AttenuationBand {
  double low;
  double high;
};

// The 80 % interval of the apparent attenuation of the next batch, after those seen. Batches scatter normally
// about a mean of the yeast; mean and scatter are unknown, with a prior that gives the usual band of
// fermentation/batch.h. So without a batch it is the usual band, with one to three it leans towards that, and
// with many it is the prediction interval of Student's t from those batches alone.
//   formula  k = 1/3 + n, v = 4 + n; mean = (m0/3 + sum x) / k
//            s^2 = (4 s0^2 + sum (x - xbar)^2 + n (xbar - m0)^2 / (3 k)) / v
//            band = mean +- t(0.9; v) s sqrt(1 + 1/k), kept within 0.05 and 1.09
//            with m0 the middle of the usual band, and s0 such that n = 0 gives the usual band (0.0163)
//   source   normal data with the conjugate prior: Gelman et al., Bayesian Data Analysis, 3rd ed., section
//            3.3. The weights 1/3 (yeasts' means differ by sqrt(3) times the scatter of one yeast's batches)
//            and 4 are ours
//   range    attenuations from 0 to 1.1
AttenuationBand expected_band(std::span<const double> attenuations);
AttenuationBand expected_band(const YeastHistory& history);

// The 80 % interval of the thermal hours from the pitch to half of the fall of the next batch. As
// expected_band(), of their logarithms; without a batch it is that of most beers. Hours above 0.
struct HalfTime {
  double low_h;
  double high_h;
};
HalfTime expected_half_time(std::span<const double> half_hours);

}  // namespace gyle
