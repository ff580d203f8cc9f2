#include "alerts/channels/mqtt_channel.h"

#include <catch2/catch.hpp>

#include "support/made_up_notice.h"

using namespace gyle;

TEST_CASE("vessel, kind and sensor make the topic of an alert") {
  Notice notice = test::made_up_notice();
  CHECK(alert_topic("gylekeeper/alert", notice) == "gylekeeper/alert/cellar/stuck");
  notice.kind = "sensor-silent";
  notice.sensor = "hydrometer-1";
  CHECK(alert_topic("gylekeeper/alert", notice) == "gylekeeper/alert/cellar/sensor-silent/hydrometer-1");
}

TEST_CASE("a name cannot leave its level of the topic") {
  // MQTT 5.0 section 4.7: topic names hold no wildcards; / separates levels.
  Notice notice = test::made_up_notice();
  notice.kind = "sensor-silent";
  notice.vessel = "left/#";
  notice.sensor = "a+b/c\n";
  CHECK(alert_topic("p", notice) == "p/left--/sensor-silent/a-b-c-");
  notice.vessel = "";
  CHECK(alert_topic("p", notice) == "p/-/sensor-silent/a-b-c-");
}
