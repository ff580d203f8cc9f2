#include "homie/homie_announcer.h"

#include <catch2/catch.hpp>

#include "../control/fake_cellar.h"

using namespace gyle;

namespace {

struct House {
  std::vector<std::pair<std::string, std::string>> heard;
  HomieSettings settings{true, "homie", "cellar"};
  HomieAnnouncer announcer{settings, [this](std::string topic, std::string payload) {
                             heard.emplace_back(std::move(topic), std::move(payload));
                           }};

  std::string at(const std::string& topic) const {
    for (auto i = heard.rbegin(); i != heard.rend(); ++i) {
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

// "Device lifecycle" of the convention: ready when everything has been sent.
TEST_CASE("a device describes itself before it is ready") {
  MadeUpCellar cellar;
  House house;
  house.announcer.update(cellar, {});
  CHECK(house.heard.empty());  // there is no connection
  house.announcer.connected();
  house.announcer.update(cellar, {});
  REQUIRE(house.heard.size() > 4);
  CHECK(house.heard.front() == std::pair<std::string, std::string>("homie/5/cellar/$state", "init"));
  CHECK(house.heard[1].first == "homie/5/cellar/$description");
  CHECK(house.heard.back() == std::pair<std::string, std::string>("homie/5/cellar/$state", "ready"));
  CHECK(house.at("homie/5/cellar/batch-7/gravity") == "1.0302");
  CHECK(house.at("homie/5/cellar/batch-3/gravity") == "(nothing)");  // packaged
}

TEST_CASE("later only what has changed is said") {
  MadeUpCellar cellar;
  House house;
  house.announcer.connected();
  house.announcer.update(cellar, {});
  house.heard.clear();
  house.announcer.update(cellar, {});
  CHECK(house.heard.empty());
  cellar.in[1].view.temperature = 19;
  house.announcer.update(cellar, {});
  CHECK(house.heard ==
        std::vector<std::pair<std::string, std::string>>{{"homie/5/cellar/batch-7/temperature", "19.0"}});
}

TEST_CASE("a batch that has left is taken back, in a description that says so") {
  MadeUpCellar cellar;
  House house;
  house.announcer.connected();
  house.announcer.update(cellar, {});
  house.heard.clear();
  cellar.in[1].packaged = cellar.in[1].spec.pitched + days(20);
  house.announcer.update(cellar, {});
  CHECK(house.heard.front().second == "init");
  CHECK(house.heard.back().second == "ready");
  CHECK(house.at("homie/5/cellar/batch-7/gravity").empty());
  CHECK(house.at("homie/5/cellar/$description").find("batch-7") == std::string::npos);
}

TEST_CASE("after a lost connection all of it is said again") {
  MadeUpCellar cellar;
  House house;
  house.announcer.connected();
  house.announcer.update(cellar, {});
  const auto before = house.heard;
  house.announcer.lost();
  house.heard.clear();
  house.announcer.update(cellar, {});
  CHECK(house.heard.empty());
  house.announcer.connected();
  house.announcer.update(cellar, {});
  CHECK(house.heard == before);
}

TEST_CASE("the state of the device is its connection's last will") {
  MqttSettings mqtt;
  const MqttSettings own = homie_connection(mqtt, {true, "house", "cellar"});
  CHECK(own.heartbeat_topic == "house/5/cellar/$state");
  CHECK(own.broker == mqtt.broker);
  CHECK(own.client_id != mqtt.client_id);  // two connections with one would drive each other out
  CHECK(own.session_expiry == Duration(0));
  CHECK(homie_signs().gone == "lost");
  CHECK(homie_signs().stopped == "disconnected");
}
