#include "reports/notes_csv.h"

#include "base/rfc3339.h"
#include "reports/csv.h"

namespace gyle {

std::string notes_csv_header() { return csv_record({"number", "time_utc", "text"}); }

std::string notes_csv_row(std::int64_t number, Time time, const std::string& text) {
  return csv_record({std::to_string(number), format_rfc3339(time), csv_text(text)});
}

}  // namespace gyle
