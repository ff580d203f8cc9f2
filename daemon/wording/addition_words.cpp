#include "wording/addition_words.h"

#include <fmt/format.h>

#include "wording/format.h"

namespace gyle {

std::string addition_words(const Addition& addition, const DisplaySettings& display) {
  switch (addition.kind) {
    case AdditionKind::sugar:
      return show_mass(addition.amount, display) + " of sugar";
    case AdditionKind::fruit:
      return fmt::format("{} of fruit ({} sugar)", show_mass(addition.amount, display),
                         show_percent(addition.sugar_share));
    case AdditionKind::water:
      return show_volume(addition.amount, display) + " of water";
    case AdditionKind::dry_hops:
      return show_mass(addition.amount, display) + " of dry hops";
  }
  return "";
}

}  // namespace gyle
