#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "brewday/bitterness.h"
#include "brewday/gravity_expected.h"
#include "brewday/water.h"
#include "fermentation/batch.h"
#include "units/temperature.h"

namespace gyle {

// What goes into the boil.
struct BoilAddition {
  std::string name;
  std::string amount;                // as the brewer wrote it where it is no mass: "1 tablet"
  std::optional<double> mass_kg;     // of what was written as a mass
  Duration before_end{0};            // 0: when the heat goes off
  std::optional<double> alpha = {};  // of hops: alpha acids, a fraction of the mass
};

struct BoilSugar {
  Fermentable sugar;
  Duration before_end = minutes(10);
};

// A beer as a brewer plans to brew it, mashed in a bag with all its water, or with some kept for a sparge. config/recipe_file.h reads it and
// has checked it: masses, volumes and lengths are possible, no addition comes before the boil.
struct Recipe {
  std::string name;
  double batch_l = 20;            // into the fermenter, at 20 degC
  double mash_efficiency = 0.72;  // share of the grain's extract that reaches the kettle

  struct Kettle {
    std::optional<double> volume_l;      // to the brim
    double head_space_l = 0;             // to be kept free
    double mass_kg = 0;                  // 0: its heat is left out
    double specific_heat = 0.50;         // kJ/(kg K); steel
    std::optional<Celsius> temperature;  // absent: heated with the water
    std::optional<double> heater_watts;
  } kettle;

  struct Mash {
    Celsius temperature{67};
    Duration time = minutes(60);
    Celsius grain{20};               // before it goes in
    Celsius water{15};               // as it is drawn
    std::optional<double> moisture;  // of the malt, a fraction; absent: usual malt, no slaking heat
  } mash;

  struct Sparge {
    double water_l = 0;  // at 20 degC; 0: all the water is in the mash
    Celsius temperature{76};
  } sparge;

  struct Boil {
    Duration time = minutes(60);
    Duration chill = minutes(30);
  } boil;

  // Common practice, no source: brewday/water.h.
  double evaporation_l_per_h = WaterNeeds{}.evaporation_l_per_h;
  double trub_l = WaterNeeds{}.trub_l;
  double absorption_l_per_kg = WaterNeeds{}.absorption_l_per_kg;
  double displacement_l_per_kg = WaterNeeds{}.displacement_l_per_kg;

  std::vector<Fermentable> grain;
  std::vector<BoilSugar> sugar;
  std::vector<BoilAddition> hops;
  std::vector<BoilAddition> finings;

  Yeast yeast;
  std::optional<Celsius> pitch_temperature;  // absent: the first hold, else the middle of the yeast's range
  std::optional<double> pitch_rate;          // million cells per mL and degP; absent: by the temperature
  double viable_cells_per_gram = 0;          // 0: as dry yeast usually is
  std::vector<Hold> plan;                    // of the fermentation
};

// Grain and sugar.
std::vector<Fermentable> fermentables_of(const Recipe& recipe);
// Empty when the alpha acids of one are not known.
std::vector<HopCharge> hop_charges(const Recipe& recipe);

double grain_mass_kg(const Recipe& recipe);
double sugar_mass_kg(const Recipe& recipe);
Potential potential_of(const Recipe& recipe);
WaterNeeds water_needs(const Recipe& recipe);

// Where the yeast is to be pitched.
Celsius pitch_temperature(const Recipe& recipe);

}  // namespace gyle
