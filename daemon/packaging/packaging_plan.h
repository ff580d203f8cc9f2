#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "packaging/energy.h"
#include "packaging/packaging_caution.h"
#include "packaging/points_to_go.h"
#include "packaging/priming.h"
#include "units/alcohol.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// A beer that is to be packaged, and how.
struct PackagingQuestion {
  SpecificGravity original_gravity;
  SpecificGravity final_gravity;
  // Since it stopped making gas; absent: not known. Residual gas is published for 0 to 30 degC; values
  // outside count as the nearer end.
  std::optional<Celsius> warmest = {};
  std::optional<double> volume_l = {};
  double volumes = 2.4;  // of carbon dioxide wanted, kLeastVolumes to kMostVolumes
  Container container = Container::bottles;
  Sugar sugar = Sugar::sucrose;
  double bottle_l = 0.5;
  Celsius serving{6};   // a keg's; -2 to 30 degC
  Celsius storage{25};  // the warmest it will be kept at; 0 to 45 degC
  Finished finished = Finished::on_word;
  std::optional<PointsToGo> to_go = {};  // of a beer not found stable; absent: not known
};
constexpr double kLeastVolumes = 1, kMostVolumes = 5;
// A beer with less apparent attenuation is not finished.
constexpr double kLeastAttenuation = 0.30;

// The pressure in a full bottle or keg at a temperature, at most: gas in the space above the beer is not
// subtracted. Above 25 degC the fits are extrapolated.
struct WarmPressure {
  Celsius beer;
  double gauge_bar;
};

struct PrimingDose {
  double grams_per_litre;  // 0: it already holds as much as is wanted
  double grams_per_bottle;
  std::optional<double> grams;    // for all of it
  std::optional<double> bottles;  // that it fills
};

struct KegPressure {
  double gauge_bar;        // to set: by the chart; 0 when beer keeps that much without
  double gauge_bar_henry;  // the other fit
};

// If the rest ferments in the closed container.
struct UnfinishedRisk {
  PointsToGo to_go;
  double extra_volumes;
  double extra_volumes_most;
  double gauge_bar;  // where it is kept
  double gauge_bar_most;
};

struct PackagingPlan {
  PackagingQuestion question;
  AlcoholRoutes alcohol;
  Energy energy_100_ml;
  double residual_volumes;             // that it holds already
  std::optional<PrimingDose> priming;  // bottles
  std::optional<KegPressure> keg;      // a keg
  std::vector<WarmPressure> warm;      // rising temperatures, among them where it is kept
  std::optional<UnfinishedRisk> risk;  // of a beer not found stable
  std::vector<PackagingCaution> cautions;
};

// What a beer holds and needs.
//   errors  Errc::out_of_range, with the range: the final gravity is above the original one, the
//           attenuation below kLeastAttenuation, a number is outside the range given above;
//           Errc::missing: the warmest temperature
Result<PackagingPlan> plan_packaging(const PackagingQuestion& question);

}  // namespace gyle
