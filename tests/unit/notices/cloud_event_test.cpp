#include "notices/cloud_event.h"

#include <catch2/catch.hpp>

#include "support/cloud_event_rules.h"
#include "support/made_up_notice.h"

using namespace gyle;
using nlohmann::json;

TEST_CASE("a notice becomes a CloudEvent") {
  const Notice notice = test::made_up_notice();
  const std::string text = cloud_event(notice);
  CHECK(test::broken_cloud_event_rules(text).empty());
  CHECK(json::parse(text) == json::parse(R"({
    "specversion": "1.0", "id": "7-12-raised", "source": "/gylekeeper", "type": "gylekeeper.alert.stuck",
    "subject": "cellar/Amber no. 12", "time": "2026-03-01T18:30:00Z", "datacontenttype": "application/json",
    "data": {"kind": "stuck", "severity": "warning", "state": "raised", "vessel": "cellar",
             "batch": "Amber no. 12", "title": "Amber no. 12: the fall has stopped",
             "text": "Amber no. 12 has stood at 1.024 for 52 hours.",
             "evidence": {"gravity_sg": 1.024, "still_hours": 52}}})"));
}

TEST_CASE("empty fields of a notice are absent") {
  Notice notice = test::made_up_notice();
  notice.vessel.clear();
  notice.batch.clear();
  notice.evidence_json.clear();
  const json event = json::parse(cloud_event(notice));
  CHECK(test::broken_cloud_event_rules(event.dump()).empty());
  CHECK_FALSE(event.contains("subject"));
  CHECK_FALSE(event["data"].contains("vessel"));
  CHECK_FALSE(event["data"].contains("evidence"));
}

TEST_CASE("any text of a notice gives a valid event") {
  const std::string odd = GENERATE(as<std::string>{}, "\"quote\" \\ back", "line\nbreak\ttab", "\x01\x1f\x7f",
                                   "not utf-8 \xff", "\xc2\x85 next line", "Märzen \xf0\x9f\x8d\xba");
  Notice notice = test::made_up_notice();
  for (std::string Notice::*part :
       {&Notice::id, &Notice::kind, &Notice::vessel, &Notice::batch, &Notice::sensor, &Notice::text})
    notice.*part = odd;
  CHECK(test::broken_cloud_event_rules(cloud_event(notice)).empty());
}

TEST_CASE("the check of the rules finds invalid events") {
  const auto* text = GENERATE("[]", R"({"id":"1","source":"/x","specversion":"1.0"})",
                              R"({"id":"","source":"/x","specversion":"1.0","type":"t"})",
                              R"({"id":"1","source":"/x y","specversion":"1.0","type":"t"})",
                              R"({"id":"1","source":"/x","specversion":"0.3","type":"t"})",
                              R"({"id":"1","source":"/x","specversion":"1.0","type":"t","myName":"x"})",
                              R"({"id":"1","source":"/x","specversion":"1.0","type":"t","time":"today"})",
                              R"({"id":"1","source":"/x","specversion":"1.0","type":"t","subject":""})",
                              R"({"id":"1","source":"/x","specversion":"1.0","type":"t","extra":{}})");
  CAPTURE(text);
  CHECK_FALSE(test::broken_cloud_event_rules(text).empty());
}
