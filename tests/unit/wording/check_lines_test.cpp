#include "wording/check_lines.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

const DisplaySettings kDisplay;
const Time kNow{days(20000)};

BrokerFacts connected() {
  BrokerFacts facts;
  facts.address = "mqtt://localhost:1883";
  facts.expiry_wanted = days(30);
  facts.expiry_granted = days(30);
  facts.receive_maximum = 20;
  facts.largest_packet_bytes = 65536;
  return facts;
}

// The only line of this part that holds these words.
CheckLine line_with(const std::vector<CheckLine>& lines, const std::string& words) {
  std::vector<CheckLine> found;
  for (const CheckLine& line : lines) {
    if (line.text.find(words) != std::string::npos) found.push_back(line);
  }
  CAPTURE(words);
  REQUIRE(found.size() == 1);
  return found.front();
}

SensorFacts sensor(const char* vessel, std::optional<Time> heard) {
  SensorFacts facts;
  facts.sensor = "hydrometer";
  facts.vessel = vessel;
  facts.heard = heard;
  return facts;
}

Verdict verdict_of(const SensorFacts& facts) {
  return sensor_check_lines({facts}, 1, kDisplay, kNow).front().verdict;
}

}  // namespace

TEST_CASE("a check reads as one line each, the parts in order") {
  const auto text = check_lines({{"clock", Verdict::right, "Fine.", ""},
                                 {"configuration", Verdict::wrong, "No\nkey.", "Write one."},
                                 {"broker", Verdict::look, "First.", ""},
                                 {"broker", Verdict::right, "Second.", ""}});
  CHECK(text == std::vector<std::string>{"wrong  configuration  No?key. Write one.",
                                         "look   broker         First.", "right  broker         Second.",
                                         "right  clock          Fine."});
  CHECK(any_wrong({{"clock", Verdict::wrong, "", ""}}));
  CHECK_FALSE(any_wrong({{"clock", Verdict::look, "", ""}}));
}

TEST_CASE("what a broker grants is judged") {
  SECTION("as it should be") {
    CHECK_FALSE(any_wrong(broker_lines(connected())));
    CHECK(line_with(broker_lines(connected()), "keeps the session").verdict == Verdict::right);
    // What cannot be seen is said.
    CHECK(line_with(broker_lines(connected()), "cannot be seen").verdict == Verdict::look);
  }
  SECTION("not there") {
    BrokerFacts facts = connected();
    facts.trouble = "nobody answers there";
    const auto lines = broker_lines(facts);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].verdict == Verdict::wrong);
    CHECK_FALSE(lines[0].to_do.empty());
  }
  SECTION("a session that is forgotten too soon") {
    BrokerFacts facts = connected();
    facts.expiry_granted = hours(2);
    const CheckLine line = line_with(broker_lines(facts), "keeps the session");
    CHECK(line.verdict == Verdict::wrong);
    CHECK_THAT(line.text, Contains("2 h only, not for 30 days"));
  }
  SECTION("seen by a guest only") {
    BrokerFacts facts = connected();
    facts.expiry_granted.reset();
    CHECK(line_with(broker_lines(facts), "granted to the daemon").verdict == Verdict::look);
  }
  SECTION("limits") {
    BrokerFacts facts = connected();
    facts.receive_maximum = 5;
    CHECK(line_with(broker_lines(facts), "at once").verdict == Verdict::look);
    facts.receive_maximum.reset();
    CHECK_THAT(line_with(broker_lines(facts), "at once").text, Contains("65535"));
    facts.largest_packet_bytes = 1000;
    CHECK(line_with(broker_lines(facts), "of at most").verdict == Verdict::wrong);
    facts.largest_packet_bytes.reset();
    CHECK(line_with(broker_lines(facts), "any size").verdict == Verdict::look);
    facts.version5 = false;
    CHECK(line_with(broker_lines(facts), "3.1.1").verdict == Verdict::look);
  }
  SECTION("encryption") {
    BrokerFacts facts = connected();
    for (const char* own : {"mqtt://127.0.0.1:1883", "mqtt://[::1]:1883", "mqtts://broker.cellar"}) {
      facts.address = own;
      CHECK(line_with(broker_lines(facts), "Connected").verdict == Verdict::right);
    }
    facts.address = "mqtt://broker.cellar";
    CHECK(line_with(broker_lines(facts), "without TLS").verdict == Verdict::look);
  }
  CHECK(echo_line({"gylekeeper/check/1", Duration(12), ""}).verdict == Verdict::right);
  CHECK(echo_line({"gylekeeper/check/1", {}, "not permitted"}).verdict == Verdict::wrong);
}

TEST_CASE("database, disk and clock are judged") {
  DatabaseFacts facts;
  facts.file = "journal.db";
  facts.database_bytes = 5'000'000'000;
  facts.free_bytes = 2'000'000'000;
  CHECK(line_with(database_lines(facts), "not read whole").verdict == Verdict::look);
  CHECK(line_with(database_lines(facts), "left").verdict == Verdict::right);
  facts.holds = "12 batches";
  CHECK(line_with(database_lines(facts), "is whole").verdict == Verdict::right);
  facts.free_bytes = 400'000'000;  // less than a tenth of the database
  CHECK(line_with(database_lines(facts), "left").verdict == Verdict::wrong);
  facts.trouble = "the database is damaged";
  CHECK(line_with(database_lines(facts), "damaged").verdict == Verdict::wrong);
  facts.log_bytes = 900'000'000;
  CHECK(line_with(database_lines(facts), "write-ahead").verdict == Verdict::look);

  CHECK(clock_line({true, "chrony"}).verdict == Verdict::right);
  CHECK(clock_line({false, "chrony"}).verdict == Verdict::wrong);
  CHECK(clock_line({false, ""}).verdict == Verdict::wrong);
  CHECK(clock_line({{}, ""}).verdict == Verdict::look);
}

TEST_CASE("channels and page are judged") {
  ChannelFacts channel;
  channel.name = "phone";
  channel.kind = "webhook";
  CHECK(channel_line(channel).verdict == Verdict::right);
  channel.trouble = "401";
  CHECK(channel_line(channel).verdict == Verdict::wrong);
  CHECK_THAT(channel_line(channel).to_do, Contains("alert-test phone"));
  channel.refused = 2;
  CHECK_THAT(channel_line(channel).to_do, Contains("--retry phone"));

  PageFacts page;
  page.url = "https://cellar:8480/";
  page.encrypted = page.secret = true;
  page.this_machine_only = false;
  CHECK(page_lines(page, kDisplay, kNow).size() == 1);
  struct Row {
    Duration left;
    Verdict verdict;
  };
  const auto row = GENERATE(
      values<Row>({{days(90), Verdict::right}, {days(20), Verdict::look}, {-days(1), Verdict::wrong}}));
  page.certificate_ends = kNow + row.left;
  CHECK(line_with(page_lines(page, kDisplay, kNow), "certificate").verdict == row.verdict);
  page.encrypted = false;
  CHECK(line_with(page_lines(page, kDisplay, kNow), "without TLS").verdict == Verdict::look);
  page.secret = false;
  CHECK(line_with(page_lines(page, kDisplay, kNow), "no secret").verdict == Verdict::look);
  page.trouble = "refused";
  CHECK(page_lines(page, kDisplay, kNow).front().verdict == Verdict::wrong);
}

TEST_CASE("sensors are judged by when they were heard, and by what was refused since") {
  CHECK(verdict_of(sensor("left", kNow - minutes(20))) == Verdict::right);
  CHECK(verdict_of(sensor("left", kNow - hours(20))) == Verdict::look);
  CHECK(verdict_of(sensor("left", {})) == Verdict::wrong);
  CHECK(verdict_of(sensor("", kNow - minutes(20))) == Verdict::look);
  SensorFacts facts = sensor("left", kNow - minutes(20));
  facts.refusal = "out of range";
  facts.refused = kNow - minutes(30);  // it was heard since
  CHECK(verdict_of(facts) == Verdict::right);
  facts.refused = kNow - minutes(10);
  CHECK(verdict_of(facts) == Verdict::wrong);
  facts = sensor("left", kNow - minutes(20));
  facts.silent = true;
  CHECK(verdict_of(facts) == Verdict::look);
  CHECK(any_wrong(sensor_check_lines({}, 1, kDisplay, kNow)));
  CHECK(any_wrong(sensor_check_lines({sensor("", kNow)}, 0, kDisplay, kNow)));
}

TEST_CASE("a hydrometer that sends inclinations needs a calibration, and a fresh one") {
  const auto judged = [](SensorFacts facts) -> std::optional<Verdict> {
    for (const CheckLine& line : sensor_check_lines({facts}, 1, kDisplay, kNow)) {
      if (line.part == "calibration") return line.verdict;
    }
    return std::nullopt;
  };
  SensorFacts facts = sensor("left", kNow);
  CHECK_FALSE(judged(facts));
  facts.inclination = true;
  CHECK(judged(facts) == Verdict::wrong);
  facts.gravity = true;
  CHECK(judged(facts) == Verdict::look);
  facts.calibrated = kNow - days(30);
  CHECK(judged(facts) == Verdict::right);
  facts.calibrated = kNow - days(400);
  CHECK(judged(facts) == Verdict::look);
}
