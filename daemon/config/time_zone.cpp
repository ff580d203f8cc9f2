#include "config/time_zone.h"

#include <date/tz.h>
#include <fmt/format.h>

namespace gyle {

Status check_time_zone(std::string_view name) {
  try {
    date::get_tzdb();
  } catch (const std::exception& error) {
    return fail(
        Errc::unavailable,
        fmt::format("the time zones of the system cannot be read ({}); install tzdata", error.what()));
  }
  try {
    date::locate_zone(name);
    return success();
  } catch (const std::exception&) {
    return fail(
        Errc::not_found,
        fmt::format("\"{}\" is no time zone known to this system; write for example \"Europe/Zurich\"",
                    name));
  }
}

}  // namespace gyle
