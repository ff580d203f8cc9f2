#include "app/vessels.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"

namespace gyle {
namespace {

constexpr const char* kHand = "hand:";

}  // namespace

bool is_hand(const std::string& sensor) { return sensor.rfind(kHand, 0) == 0; }

std::string hand_of(const std::string& vessel) { return kHand + vessel; }

const Vessel* Vessels::find(const std::string& name) const {
  const auto found = std::find_if(vessels_.begin(), vessels_.end(),
                                  [&](const Vessel& vessel) { return vessel.name == name; });
  return found == vessels_.end() ? nullptr : &*found;
}

Result<std::string> Vessels::spelling(const std::string& name) const {
  if (find(name)) return name;
  std::vector<std::string> alike;
  std::string names;
  for (const Vessel& vessel : vessels_) {
    if (folded(vessel.name) == folded(name)) alike.push_back(vessel.name);
    names += (names.empty() ? "" : ", ") + vessel.name;
  }
  if (alike.size() == 1) return alike.front();
  return fail(Errc::not_found, vessels_.empty()
                                   ? "no vessel is configured; add a [[vessel]] to the configuration"
                                   : fmt::format("no vessel is called \"{}\"; there is {}", name, names));
}

std::vector<std::string> Vessels::sensors_of(const std::string& vessel) const {
  std::vector<std::string> sensors{hand_of(vessel)};
  if (const Vessel* known = find(vessel)) {
    sensors.insert(sensors.end(), known->sensors.begin(), known->sensors.end());
  }
  return sensors;
}

const SetPointRule* Vessels::set_point_rule(const std::string& vessel) const {
  const Vessel* known = find(vessel);
  return known && known->set_point ? &known->set_point->rule : nullptr;
}

}  // namespace gyle
