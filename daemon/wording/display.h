#pragma once

#include <string>

namespace gyle {

// How numbers and times are shown to this brewer; canonical units stay inside.
struct DisplaySettings {
  enum class Gravity { specific_gravity, plato } gravity = Gravity::specific_gravity;
  enum class Temperature { celsius, fahrenheit } temperature = Temperature::celsius;
  enum class Volume { litres, us_gallons } volume = Volume::litres;
  std::string time_zone = "UTC";  // IANA name
};

}  // namespace gyle
