#include "message_lines.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "config/settings_file.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

Message message(const std::string& topic, const std::string& payload) {
  return {.topic = topic, .payload = payload, .received = parse_rfc3339("2026-03-01T18:36:00Z").value()};
}

std::vector<Source> senml_source() {
  Source source;
  source.filter = "cellar/#";
  return {source};
}

}  // namespace

TEST_CASE("a message is shown with how it is understood") {
  const auto sources = senml_source();
  DisplaySettings display;
  display.time_zone = "Europe/Berlin";
  MessageLines lines(sources, display);
  CHECK(lines.of(message("cellar/a",
                         R"([{"bn":"hydrometer:","n":"gravity","v":1.0494},{"n":"battery","u":"V","v":4.1},)"
                         R"({"bn":"probe:","n":"ambient_temperature","u":"Cel","v":16.5,"t":-7200}])")) ==
        "Sun 1 Mar 19:36  cellar/a\n"
        "    hydrometer: gravity 1.0494, battery 4.10 V\n"
        "    probe: (measured Sun 1 Mar 17:36) ambient 16.5 °C\n");
}

TEST_CASE("what is not used is shown with the reason") {
  const auto sources = senml_source();
  MessageLines lines(sources, {});
  const std::string shown = lines.of(message("cellar/a", "rubbish"));
  CHECK_THAT(shown, Contains("refused (not_json): ") && Contains("it begins: rubbish"));
}

TEST_CASE("a topic without a source is offered one, once, and it works") {
  MessageLines lines({}, {});
  const Message foreign = message("shed/box", R"({"density": 1.0312, "temp": 18.5, "id": "box-7"})");
  const std::string first = lines.of(foreign);
  CHECK_THAT(first, Contains("refused (unmapped)") && Contains("[[source]]"));
  CHECK_THAT(lines.of(foreign), !Contains("[[source]]"));

  const auto settings = parse_settings(first.substr(first.find("[[source]]")), "proposed");
  REQUIRE(settings);
  MessageLines understood(settings.value().sources, {});
  CHECK_THAT(understood.of(foreign), Contains("1.0312") && !Contains("not used"));
}

TEST_CASE("no payload controls the terminal") {
  const auto sources = senml_source();
  const std::string topic = GENERATE("cellar/\x1b[2J", "shed/\x1b[2J");
  const std::string payload = GENERATE(
      "\x1b]0;title\x07", "{\"\x1b[31m\": 1.05}", R"([{"n":"\u001b[2J:gravity","v":1.05}])",
      R"([{"n":"s:gravity","u":"\u001b[2J","v":1.05}])", R"({"\u001b[2J": 1.05, "gravity\u009b": 1.01})");
  MessageLines lines(sources, {});
  const std::string shown = lines.of(message(topic, payload));
  CAPTURE(shown);
  CHECK(shown.find_first_of("\x1b\x07\x7f") == std::string::npos);
  CHECK(shown.find("\xc2\x9b") == std::string::npos);
}
