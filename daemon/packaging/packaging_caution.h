#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "units/temperature.h"

namespace gyle {

enum class Container { bottles, keg };
const char* name(Container container);  // "bottles", "keg"
std::optional<Container> container_named(std::string_view text);

// How it is known that the beer is finished.
enum class Finished {
  measured,  // its gravity was found stable
  on_word,   // the brewer says so
  not_seen,  // it was not found stable, and the brewer overrides that
};

// Where a person has to take care, most pressing first.
enum class PackagingCaution {
  unfinished,    // it may ferment on, which adds gas
  on_word,       // no measurement shows that it is finished
  too_much_gas,  // above kMostVolumesOfBottles: not in bottles
  much_gas,      // above kUsualVolumesOfBottles: only in stronger bottles
  warm_storage,  // at or above kWarmStorage
  glass_bursts,  // glass and PET; how to handle them
  relief_valve,  // kegs
  gas_in_rooms,  // carbon dioxide where people are
};
const char* name(PackagingCaution caution);  // "unfinished", "on-word", ...

// Ordinary returnable or long-neck bottles. Common practice, no source; a glass maker quotes 4 volumes for
// new ones, and reused glass is much weaker.
constexpr double kUsualVolumesOfBottles = 3.0;
constexpr double kMostVolumesOfBottles = 3.5;
constexpr Celsius kWarmStorage{25};
// What a usual keg withstands, with its relief valve. Common practice, no source.
constexpr double kUsualKegBar = 9;
// A point of gravity (0.001, 0.26 degP) that ferments after the beer was closed in: 2.6 g/L of extract, 0.8
// of it real (0.8192 of Balling's split, from memory), 0.463 g of gas a gram (Balling's 0.9565 / 2.0665).
constexpr double kVolumesPerPoint = 0.5;

//   volumes  wanted, of carbon dioxide
//   storage  the warmest it will be kept at
std::vector<PackagingCaution> packaging_cautions(Container container, double volumes, Celsius storage,
                                                 Finished finished);

}  // namespace gyle
