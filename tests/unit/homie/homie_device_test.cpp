#include "homie/homie_device.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>
#include <regex>

#include "../control/fake_cellar.h"

using namespace gyle;
using nlohmann::json;

namespace {

// Homie convention 5.0: topic IDs, members of the description, datatypes and payloads.
const std::regex kId("[a-z0-9]([a-z0-9-]*[a-z0-9])?");
const std::regex kFloat("-?[0-9]+(\\.[0-9]+)?([eE]-?[0-9]+)?");
const std::regex kDatetime("[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z");

void check_payload(const json& property, const std::string& payload) {
  const std::string type = property.at("datatype");
  CAPTURE(type, payload);
  CHECK_FALSE(payload.empty());  // an empty payload would clear the topic
  if (type == "float") {
    CHECK(std::regex_match(payload, kFloat));
  } else if (type == "datetime") {
    CHECK(std::regex_match(payload, kDatetime));
  } else if (type == "enum") {
    const std::string format = "," + property.at("format").get<std::string>() + ",";
    CHECK(format.find("," + payload + ",") != std::string::npos);
  } else {
    CHECK(type == "string");
  }
}

void check_rules(std::span<const BatchRecord> batches, const DisplaySettings& display) {
  const json description = json::parse(homie_description(batches, display));
  CHECK(description.at("homie") == "5.0");
  CHECK(description.at("version").is_number_integer());
  CHECK(description.at("name").is_string());
  for (const auto& [id, node] : description.at("nodes").items()) {
    CHECK(std::regex_match(id, kId));
    CHECK(node.at("name").is_string());
    for (const auto& [property_id, property] : node.at("properties").items()) {
      CHECK(std::regex_match(property_id, kId));
      CHECK(property.at("settable") == false);
      CHECK(property.at("retained") == true);
      if (property.at("datatype") == "enum") CHECK(property.contains("format"));
    }
  }
  for (const auto& [below, payload] : homie_values(batches, display)) {
    const auto slash = below.find('/');
    REQUIRE(slash != std::string::npos);
    check_payload(
        description.at("nodes").at(below.substr(0, slash)).at("properties").at(below.substr(slash + 1)),
        payload);
  }
}

}  // namespace

TEST_CASE("description and values follow the convention") {
  auto batches = test::FakeCellar().batches();
  batches.resize(2);
  DisplaySettings display;
  check_rules(batches, display);
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  check_rules(batches, display);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  batches[0].spec.name = "\xff\"\n";
  batches[0].view.gravity = Interval{nan, nan, nan};
  batches[0].view.temperature = Celsius{nan};
  batches[0].view.attenuation = 1e300;
  batches[0].view.forecast.final_time = TimeInterval{Time::max(), Time{}, Time::max()};
  check_rules(batches, display);
  check_rules({}, display);
}

TEST_CASE("values are in the configured units, which the description names") {
  auto batches = test::FakeCellar().batches();
  const std::span<const BatchRecord> one(&batches[1], 1);
  DisplaySettings display;
  CHECK(homie_values(one, display).at("batch-7/gravity") == "1.0302");
  CHECK(homie_values(one, display).at("batch-7/temperature") == "18.4");
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  CHECK(homie_values(one, display).at("batch-7/temperature") == "65.1");
  const json node = json::parse(homie_description(one, display)).at("nodes").at("batch-7");
  CHECK(node.at("properties").at("temperature").at("unit") == "°F");
  CHECK(node.at("name") == batches[1].spec.name);
}

TEST_CASE("the version depends on the description, not on the values") {
  auto batches = test::FakeCellar().batches();
  const auto version = [&] { return json::parse(homie_description(batches, {})).at("version"); };
  const auto before = version();
  batches[1].view.gravity = Interval{1.02, 1.019, 1.021};
  CHECK(version() == before);
  batches[1].spec.name = "Another";
  CHECK(version() != before);
}

TEST_CASE("open alerts that need attention are alerts of the device") {
  BatchRecord batch;
  batch.id = 7;
  Decision stuck;
  stuck.kind = AlertKind::stuck;
  Decision started;
  started.kind = AlertKind::fermentation_started;
  const std::vector<ReportedAlert> alerts{{stuck, "It has stopped.", {4, false, {}, {}}},
                                          {stuck, "Over.", {3, true, {}, {}}},
                                          {started, "It ferments.", {2, false, {}, {}}}};
  CHECK(homie_alerts(batch, alerts) ==
        std::map<std::string, std::string>{{"$alert/batch-7-stuck-4", "It has stopped."}});
}
