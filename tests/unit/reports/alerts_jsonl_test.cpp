#include "reports/alerts_jsonl.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using nlohmann::json;

namespace {

Decision step_due() {
  Decision decision;
  decision.time = parse_rfc3339("2026-03-06T18:00:00Z").value();
  decision.kind = AlertKind::step_due;
  decision.step = 1;
  decision.evidence = {{"gravity_sg", 1.0205}, {"attenuation", 0.573}};
  return decision;
}

}  // namespace

TEST_CASE("an alert is one line of JSON with the fields of the replay contract") {
  const std::string line = alert_json_line(step_due(), "Amber \"no. 12\",\nsecond", "Raise it now.");
  CHECK(line.find('\n') == line.size() - 1);
  CHECK(json::parse(line) == json{{"time", "2026-03-06T18:00:00Z"},
                                  {"kind", "step-due"},
                                  {"severity", "notice"},
                                  {"state", "raised"},
                                  {"batch", "Amber \"no. 12\",\nsecond"},
                                  {"step", 1},
                                  {"text", "Raise it now."},
                                  {"evidence", {{"gravity_sg", 1.0205}, {"attenuation", 0.573}}}});
}

TEST_CASE("fields that a kind does not have are absent") {
  Decision decision = step_due();
  decision.kind = AlertKind::stuck;
  decision.state = Decision::State::withdrawn;
  decision.step.reset();
  decision.evidence.clear();
  const json alert = json::parse(alert_json_line(decision, "b", "t"));
  CHECK_FALSE(alert.contains("step"));
  CHECK(alert["state"] == "withdrawn");
  CHECK(alert["evidence"] == json::object());
}

TEST_CASE("numbers and bytes that JSON cannot carry do not break the line") {
  Decision decision = step_due();
  decision.evidence.emplace_back("value", std::numeric_limits<double>::quiet_NaN());
  const json alert = json::parse(alert_json_line(decision, "na\xffme", "t"));
  CHECK(alert["evidence"].size() == 2);
  CHECK(alert["batch"] == "na\xef\xbf\xbdme");
}
