#include "homie/homie_announcer.h"

#include <catch2/catch.hpp>

#include "../control/fake_cellar.h"

using namespace gyle;

namespace {

struct Device {
  std::vector<std::pair<std::string, std::string>> published;
  HomieSettings settings{true, "homie", "cellar"};
  HomieAnnouncer announcer{settings, [this](std::string topic, std::string payload) {
                             published.emplace_back(std::move(topic), std::move(payload));
                           }};

  std::string at(const std::string& topic) const {
    for (auto i = published.rbegin(); i != published.rend(); ++i) {
      if (i->first == topic) return i->second;
    }
    return "(nothing)";
  }
};

struct MadeUpCellar : test::FakeCellar {
  std::vector<BatchRecord> in = test::FakeCellar::batches();
  std::vector<BatchRecord> batches() const override { return in; }
};

}  // namespace

// "Device lifecycle" of the convention: ready when everything has been published.
TEST_CASE("a device describes itself before it is ready") {
  MadeUpCellar cellar;
  Device device;
  device.announcer.update(cellar, {});
  CHECK(device.published.empty());  // there is no connection
  device.announcer.connected();
  device.announcer.update(cellar, {});
  REQUIRE(device.published.size() > 4);
  CHECK(device.published.front() == std::pair<std::string, std::string>("homie/5/cellar/$state", "init"));
  CHECK(device.published[1].first == "homie/5/cellar/$description");
  CHECK(device.published.back() == std::pair<std::string, std::string>("homie/5/cellar/$state", "ready"));
  CHECK(device.at("homie/5/cellar/batch-7/gravity") == "1.0302");
  CHECK(device.at("homie/5/cellar/batch-3/gravity") == "(nothing)");  // packaged
}

TEST_CASE("an update publishes only what has changed") {
  MadeUpCellar cellar;
  Device device;
  device.announcer.connected();
  device.announcer.update(cellar, {});
  device.published.clear();
  device.announcer.update(cellar, {});
  CHECK(device.published.empty());
  cellar.in[1].view.temperature = Celsius{19};
  device.announcer.update(cellar, {});
  CHECK(device.published ==
        std::vector<std::pair<std::string, std::string>>{{"homie/5/cellar/batch-7/temperature", "19.0"}});
}

TEST_CASE("the topics of a packaged batch are cleared, and the description omits it") {
  MadeUpCellar cellar;
  Device device;
  device.announcer.connected();
  device.announcer.update(cellar, {});
  device.published.clear();
  cellar.in[1].packaged = cellar.in[1].spec.pitched + days(20);
  device.announcer.update(cellar, {});
  CHECK(device.published.front().second == "init");
  CHECK(device.published.back().second == "ready");
  CHECK(device.at("homie/5/cellar/batch-7/gravity").empty());
  CHECK(device.at("homie/5/cellar/$description").find("batch-7") == std::string::npos);
}

TEST_CASE("after a lost connection everything is published again") {
  MadeUpCellar cellar;
  Device device;
  device.announcer.connected();
  device.announcer.update(cellar, {});
  const auto before = device.published;
  device.announcer.lost();
  device.published.clear();
  device.announcer.update(cellar, {});
  CHECK(device.published.empty());
  device.announcer.connected();
  device.announcer.update(cellar, {});
  CHECK(device.published == before);
}

TEST_CASE("the state of the device is its connection's last will") {
  MqttSettings mqtt;
  const MqttSettings own = homie_connection(mqtt, {true, "house", "cellar"});
  CHECK(own.heartbeat_topic == "house/5/cellar/$state");
  CHECK(own.broker == mqtt.broker);
  CHECK(own.client_id != mqtt.client_id);  // connections with the same id would disconnect each other
  CHECK(own.session_expiry == Duration(0));
  CHECK(homie_signs().gone == "lost");
  CHECK(homie_signs().stopped == "disconnected");
}
