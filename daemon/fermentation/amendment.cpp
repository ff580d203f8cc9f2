#include "fermentation/amendment.h"

#include <array>

namespace gyle {

const char* name(AmendedThing thing) {
  constexpr std::array<const char*, 4> kNames{"description", "sample", "note", "packaged"};
  return kNames[static_cast<std::size_t>(thing)];
}

}  // namespace gyle
