#include "series/reading.h"

#include <array>
#include <utility>

namespace gyle {
namespace {

constexpr std::array<std::pair<Quantity, const char*>, 6> kNames{{
    {Quantity::gravity, "gravity"},
    {Quantity::inclination, "inclination"},
    {Quantity::beer_temperature, "beer_temperature"},
    {Quantity::ambient_temperature, "ambient_temperature"},
    {Quantity::battery, "battery"},
    {Quantity::sample, "sample"},
}};

}  // namespace

const char* name(Quantity quantity) {
  for (const auto& [candidate, word] : kNames) {
    if (candidate == quantity) return word;
  }
  return "unknown";
}

std::optional<Quantity> quantity_named(std::string_view text) {
  for (const auto& [candidate, word] : kNames) {
    if (text == word) return candidate;
  }
  return std::nullopt;
}

const char* name(TimeQuality quality) {
  switch (quality) {
    case TimeQuality::stamped:
      return "stamped";
    case TimeQuality::arrival:
      return "arrival";
    case TimeQuality::backlog:
      return "backlog";
  }
  return "unknown";
}

}  // namespace gyle
