#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "config/settings.h"

namespace gyle {

// Whether this is the journal's name for hand samples rather than a sensor.
bool is_hand(const std::string& sensor);

// The journal's name for the hand samples of a vessel.
std::string hand_of(const std::string& vessel);

// The configured vessels. Pure.
//   tests   unit/app/vessels_test.cpp
class Vessels {
 public:
  Vessels() = default;
  explicit Vessels(std::vector<Vessel> vessels) : vessels_(std::move(vessels)) {}

  const std::vector<Vessel>& all() const { return vessels_; }

  // The configured spelling of a vessel's name. Errc::not_found when there is none, or several that differ in
  // case; the message names those that there are.
  Result<std::string> spelling(const std::string& name) const;

  // What a batch in this vessel uses: its sensors, and hand samples. Of a vessel that is no longer configured:
  // hand samples only.
  std::vector<std::string> sensors_of(const std::string& vessel) const;

  // By which its thermostat is asked; nullptr when none is.
  const SetPointRule* set_point_rule(const std::string& vessel) const;

 private:
  const Vessel* find(const std::string& name) const;

  std::vector<Vessel> vessels_;
};

}  // namespace gyle
