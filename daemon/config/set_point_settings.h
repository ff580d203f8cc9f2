#pragma once

#include <string>

#include "fermentation/set_point.h"

namespace gyle {

class TomlTable;

// The external thermostat of a vessel: where and how it takes a temperature.
struct SetPointSettings {
  enum class Unit { celsius, fahrenheit };
  std::string topic;
  Unit unit = Unit::celsius;
  std::string body = "{value}";  // "{value}" in it is replaced by the number
  bool retained = false;
  SetPointRule rule;
};

// Reads a vessel's table set_point. The limits have no default.
SetPointSettings read_set_point(TomlTable& table);

// The message that asks for a temperature: a decimal number of at most two decimals, in its body.
std::string set_point_message(const SetPointSettings& settings, Celsius temperature);

}  // namespace gyle
