#include "control_answers.h"

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

// Runs a reader; whatever it misses becomes one error.
template <class Read>
auto understood(const std::string& body, Read read) -> Result<decltype(read(Json()))> {
  try {
    return read(Json::parse(body));
  } catch (const nlohmann::json::exception&) {
    return fail(Errc::malformed, "the daemon's answer is not understood; is it of another version?");
  }
}

BatchAnswer batch_of(const Json& json) {
  return {json.at("id").get<std::int64_t>(),
          json.at("name").get<std::string>(),
          json.at("vessel").get<std::string>(),
          json.contains("packaged"),
          json.value("caution", ""),
          json.at("lines").get<std::vector<std::string>>(),
          json.value("band", "")};
}

}  // namespace

Result<BatchAnswer> read_batch(const std::string& body) { return understood(body, &batch_of); }

Result<std::vector<BatchAnswer>> read_batches(const std::string& body) {
  return understood(body, [](const Json& json) {
    std::vector<BatchAnswer> batches;
    for (const Json& batch : json.at("batches")) batches.push_back(batch_of(batch));
    return batches;
  });
}

Result<DaemonAnswer> read_daemon(const std::string& body) {
  BOOST_OUTCOME_TRY(answer, understood(body, [](const Json& json) {
                      const Json& daemon = json.at("daemon");
                      return std::pair(DaemonAnswer{{},
                                                    daemon.at("time_zone").get<std::string>(),
                                                    daemon.at("broker").get<std::string>(),
                                                    daemon.at("broker_connected").get<bool>(),
                                                    daemon.value("database_trouble", "")},
                                       daemon.at("now").get<std::string>());
                    }));
  BOOST_OUTCOME_TRY(now, parse_rfc3339(answer.second));
  if (now != Time{}) answer.first.now = now;
  return answer.first;
}

Result<std::vector<AlertAnswer>> read_alerts(const std::string& body) {
  return understood(body, [](const Json& json) {
    std::vector<AlertAnswer> alerts;
    for (Json alert : json.at("alerts")) {
      const std::string line = alert.at("line");
      alert.erase("line");
      if (json.contains("batch")) alert["batch"] = json.at("batch");
      const bool open = alert.at("state") == "raised" && !alert.at("over").get<bool>();
      alerts.push_back({line, alert.dump(), alert.at("id").get<std::int64_t>(), open});
    }
    return alerts;
  });
}

Result<std::int64_t> read_alert_number(const std::string& body) {
  return understood(body, [](const Json& json) { return json.at("alert").get<std::int64_t>(); });
}

Result<FateAnswer> read_fate(const std::string& body) {
  return understood(body, [](const Json& json) {
    return FateAnswer{json.at("outcome").get<std::string>(), json.at("attempts").get<int>(),
                      json.at("answer").get<std::string>()};
  });
}

Result<std::vector<CheckLine>> read_checks(const std::string& body) {
  return understood(body, [](const Json& json) {
    std::vector<CheckLine> lines;
    for (const Json& one : json.at("checks")) {
      const std::string verdict = one.at("verdict");
      lines.push_back({one.at("part").get<std::string>(),
                       verdict == name(Verdict::wrong)  ? Verdict::wrong
                       : verdict == name(Verdict::look) ? Verdict::look
                                                        : Verdict::right,
                       one.at("text").get<std::string>(), one.value("to_do", "")});
    }
    return lines;
  });
}

Result<std::vector<std::string>> read_lines(const std::string& body) {
  return understood(body, [](const Json& json) { return json.at("lines").get<std::vector<std::string>>(); });
}

Result<std::optional<std::string>> read_next(const std::string& body) {
  return understood(body, [](const Json& json) {
    return json.contains("next") ? std::optional(json.at("next").get<std::string>()) : std::nullopt;
  });
}

std::string problem_detail(const std::string& body) {
  const auto detail = understood(body, [](const Json& json) { return json.at("detail").get<std::string>(); });
  return detail ? detail.value() : body;
}

}  // namespace gyle
