#include "base/result.h"

namespace gyle {

const char* name(Errc code) {
  switch (code) {
    case Errc::malformed:
      return "malformed";
    case Errc::out_of_range:
      return "out_of_range";
    case Errc::missing:
      return "missing";
    case Errc::not_found:
      return "not_found";
    case Errc::conflict:
      return "conflict";
    case Errc::too_few:
      return "too_few";
    case Errc::unavailable:
      return "unavailable";
    case Errc::storage:
      return "storage";
    case Errc::refused:
      return "refused";
  }
  return "unknown";
}

}  // namespace gyle
