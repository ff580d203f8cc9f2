#include "packaging/packaging_caution.h"

namespace gyle {

const char* name(Container container) { return container == Container::keg ? "keg" : "bottles"; }

std::optional<Container> container_named(std::string_view text) {
  for (const Container one : {Container::bottles, Container::keg}) {
    if (name(one) == text) return one;
  }
  return std::nullopt;
}

const char* name(PackagingCaution caution) {
  switch (caution) {
    case PackagingCaution::unfinished:
      return "unfinished";
    case PackagingCaution::on_word:
      return "on-word";
    case PackagingCaution::too_much_gas:
      return "too-much-gas";
    case PackagingCaution::much_gas:
      return "much-gas";
    case PackagingCaution::warm_storage:
      return "warm-storage";
    case PackagingCaution::glass_bursts:
      return "glass-bursts";
    case PackagingCaution::relief_valve:
      return "relief-valve";
    case PackagingCaution::gas_in_rooms:
      return "gas-in-rooms";
  }
  return "";
}

std::vector<PackagingCaution> packaging_cautions(Container container, double volumes, Celsius storage,
                                                 Finished finished) {
  std::vector<PackagingCaution> cautions;
  const bool bottles = container == Container::bottles;
  if (finished == Finished::not_seen) cautions.push_back(PackagingCaution::unfinished);
  if (finished == Finished::on_word) cautions.push_back(PackagingCaution::on_word);
  if (bottles && volumes > kUsualVolumesOfBottles) {
    cautions.push_back(volumes > kMostVolumesOfBottles ? PackagingCaution::too_much_gas
                                                       : PackagingCaution::much_gas);
  }
  if (bottles && storage >= kWarmStorage) cautions.push_back(PackagingCaution::warm_storage);
  cautions.push_back(bottles ? PackagingCaution::glass_bursts : PackagingCaution::relief_valve);
  cautions.push_back(PackagingCaution::gas_in_rooms);
  return cautions;
}

}  // namespace gyle
