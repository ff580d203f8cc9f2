#include "wording/refusal_lines.h"

#include <fmt/format.h>

#include "base/text.h"
#include "wording/format.h"

namespace gyle {
namespace {

const char* words(RefusalReason reason) {
  switch (reason) {
    case RefusalReason::too_large:
      return "too large";
    case RefusalReason::not_json:
      return "not JSON";
    case RefusalReason::not_a_number:
      return "not a number";
    case RefusalReason::missing_field:
      return "a field missing";
    case RefusalReason::unknown_unit:
      return "a unit that does not fit";
    case RefusalReason::out_of_range:
      return "a value that cannot be";
    case RefusalReason::probe_error:
      return "a probe without its wire";
    case RefusalReason::bad_time:
      return "a time that cannot be";
    case RefusalReason::retained:
      return "retained, without a time";
    case RefusalReason::no_sensor:
      return "no sensor named";
    case RefusalReason::bad_pack:
      return "broken SenML";
    case RefusalReason::unmapped:
      return "a topic of no source";
    case RefusalReason::not_storable:
      return "cannot be stored";
    case RefusalReason::too_many:
      return "more than the sensor's limit";
  }
  return "another reason";
}

bool alike(const Refusal& a, const Refusal& b) {
  return a.reason == b.reason && a.topic == b.topic && a.sensor == b.sensor && a.detail == b.detail;
}

}  // namespace

std::vector<std::string> refusal_lines(const std::vector<std::pair<RefusalReason, std::uint64_t>>& counts,
                                       const std::vector<Refusal>& newest, const DisplaySettings& display) {
  std::vector<std::string> lines;
  std::string total;
  for (const auto& [reason, count] : counts) {
    if (count > 0) total += fmt::format("{}{} ({})", total.empty() ? "" : ", ", words(reason), count);
  }
  lines.push_back(total.empty() ? "Nothing has been refused." : "Refused so far: " + total + ".");
  for (std::size_t i = 0; i < newest.size();) {
    const Refusal& one = newest[i];
    std::size_t end = i + 1;
    while (end < newest.size() && alike(one, newest[end])) ++end;
    lines.push_back(fmt::format("{}  {}{}", show_time(one.received, display), one.topic,
                                one.sensor.empty() ? "" : fmt::format(" ({})", one.sensor)));
    lines.push_back("  " + one.detail);
    if (!one.head.empty()) lines.push_back("  it began: " + one.head);
    if (end - i > 1) {
      lines.push_back(fmt::format("  and {} more like it since {}", end - i - 1,
                                  show_time(newest[end - 1].received, display)));
    }
    i = end;
  }
  for (std::string& line : lines) line = displayable(line, line.size());
  return lines;
}

}  // namespace gyle
