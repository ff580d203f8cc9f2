#include "ingest/refusal.h"

namespace gyle {

const char* name(RefusalReason reason) {
  switch (reason) {
    case RefusalReason::too_large:
      return "too_large";
    case RefusalReason::not_json:
      return "not_json";
    case RefusalReason::not_a_number:
      return "not_a_number";
    case RefusalReason::missing_field:
      return "missing_field";
    case RefusalReason::unknown_unit:
      return "unknown_unit";
    case RefusalReason::out_of_range:
      return "out_of_range";
    case RefusalReason::probe_error:
      return "probe_error";
    case RefusalReason::bad_time:
      return "bad_time";
    case RefusalReason::retained:
      return "retained";
    case RefusalReason::no_sensor:
      return "no_sensor";
    case RefusalReason::bad_pack:
      return "bad_pack";
    case RefusalReason::unmapped:
      return "unmapped";
  }
  return "unknown";
}

}  // namespace gyle
