#include "time_option.h"

#include "base/rfc3339.h"

namespace gyle {

Result<DaemonAnswer> ask_daemon(const ControlClient& daemon) {
  BOOST_OUTCOME_TRY(status, daemon.get("/v1/status"));
  return read_daemon(status);
}

Result<Time> time_option(const std::string& text, TimeSense sense, const ControlClient& daemon) {
  if (auto absolute = parse_rfc3339(text)) return absolute;
  BOOST_OUTCOME_TRY(answer, ask_daemon(daemon));
  return parse_local_time(text, answer.now, answer.time_zone, sense);
}

Result<std::optional<std::string>> time_query(const std::optional<std::string>& text, TimeSense sense,
                                              const ControlClient& daemon) {
  if (!text) return std::optional<std::string>();
  BOOST_OUTCOME_TRY(time, time_option(*text, sense, daemon));
  return std::optional(format_rfc3339(time));
}

}  // namespace gyle
