#include "alerts/channels/mqtt_channel.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("an alert has a topic of its own per vessel, kind and sensor") {
  Notice notice{"1-1-raised",
                {},
                AlertKind::step_due,
                Severity::notice,
                Decision::State::raised,
                "cellar",
                "Harbour amber",
                "",
                "",
                "{}"};
  CHECK(alert_topic("gylekeeper/alert", notice) == "gylekeeper/alert/cellar/step-due");
  notice.kind = AlertKind::sensor_silent;
  notice.sensor = "float-1";
  CHECK(alert_topic("gylekeeper/alert", notice) == "gylekeeper/alert/cellar/sensor-silent/float-1");
}

TEST_CASE("no name can break out of its level of the topic") {
  // MQTT 5.0 section 4.7: topic names hold no wildcards; / separates levels.
  Notice notice{"1-1-raised",
                {},
                AlertKind::sensor_silent,
                Severity::notice,
                Decision::State::raised,
                "left/#",
                "b",
                "a+b/c\n",
                "",
                "{}"};
  CHECK(alert_topic("p", notice) == "p/left--/sensor-silent/a-b-c-");
  notice.vessel = "";
  CHECK(alert_topic("p", notice) == "p/-/sensor-silent/a-b-c-");
}
