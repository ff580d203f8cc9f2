#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "wording/check_lines.h"

namespace gyle {

// The parts of the daemon's answers (daemon/control/routes.h) that the tool shows. An answer that lacks what
// is asked for is Errc::malformed: another version of the daemon.

struct BatchAnswer {
  std::int64_t id;
  std::string name;
  std::string vessel;
  bool packaged;
  std::string caution;  // of one that has just been pitched or packaged; may be empty
  std::vector<std::string> lines;
  std::string band;  // on a pitch: the source of the expected attenuation, when it was not given
};
Result<BatchAnswer> read_batch(const std::string& body);
// Of an answer that lists batches: /v1/status, /v1/batches.
Result<std::vector<BatchAnswer>> read_batches(const std::string& body);

struct DaemonAnswer {
  std::optional<Time> now;  // absent: its clock follows messages, and none has come
  std::string time_zone;    // in which it shows times
  std::string broker;
  bool broker_connected;
  std::string database_trouble;  // empty: none
};
Result<DaemonAnswer> read_daemon(const std::string& body);

// The alerts as lines for a person, and as one JSON object each.
struct AlertAnswer {
  std::string line;
  std::string json;
  std::int64_t number;  // by which it is acknowledged
  bool open;            // raised and not over, acknowledged or not
};
Result<std::vector<AlertAnswer>> read_alerts(const std::string& body);

// The `alert` of the answer to a test of a channel, and what came of it.
Result<std::int64_t> read_alert_number(const std::string& body);
struct FateAnswer {
  std::string outcome;
  int attempts;
  std::string answer;
};
Result<FateAnswer> read_fate(const std::string& body);

// The `checks` of /v1/check.
Result<std::vector<CheckLine>> read_checks(const std::string& body);

// The `lines` of any answer.
Result<std::vector<std::string>> read_lines(const std::string& body);

// The cursor of what follows an answer that holds a page of a list; absent on the last.
Result<std::optional<std::string>> read_next(const std::string& body);

// What problem details say is wrong; the body itself when it is something else.
std::string problem_detail(const std::string& body);

}  // namespace gyle
