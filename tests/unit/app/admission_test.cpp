#include "app/admission.h"

#include <catch2/catch.hpp>

#include "support/temp_dir.h"

using namespace gyle;

namespace {

const Time kNow{seconds(1'780'000'000)};

struct Door {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{database};
  std::vector<Source> sources = made_up_sources();

  static std::vector<Source> made_up_sources() {
    Source probes;
    probes.filter = "cellar/+/celsius";
    probes.format = Source::Format::number;
    probes.sensor = SensorFromLevel{1};
    probes.fields = {{Quantity::beer_temperature, "", Unit::celsius}};
    Source hydrometers;
    hydrometers.filter = "cellar/+/senml";
    return {probes, hydrometers};
  }
  static Message message(const std::string& topic, const std::string& payload, Time received) {
    Message m;
    m.topic = topic;
    m.payload = payload;
    m.received = received;
    return m;
  }
  static Message stamped(Time stamp, Time received) {
    return message("cellar/hydrometer/senml",
                   R"([{"n":"hydrometer:gravity","bt":)" +
                       std::to_string(stamp.time_since_epoch() / seconds(1)) + R"(,"v":1.048}])",
                   received);
  }
  Result<Decoded> admit(Admission& admission, const Message& m) const {
    return admission.admit(m, decode(m, sources));
  }
};

}  // namespace

TEST_CASE("readings stamped ahead of a late clock wait, and then keep their own time") {
  Door door;
  Admission admission = Admission::begin(door.journal, 100, false).value();
  const Time behind = Time(seconds(1'600'000'000));  // a clock that starts years ago
  for (const Duration ago : {days(3), days(2), Duration(hours(1))}) {
    const auto held = door.admit(admission, Door::stamped(kNow - ago, behind));
    REQUIRE(!held);
    CHECK(held.error().worth_retrying());
    const auto taken = door.admit(admission, Door::stamped(kNow - ago, kNow));
    REQUIRE(taken);
    CHECK(taken.value().refusals.empty());
    REQUIRE(taken.value().readings.size() == 1);
    CHECK(taken.value().readings[0].time == kNow - ago);
    CHECK(taken.value().readings[0].time_quality == TimeQuality::stamped);
    admission.taken();
  }
}

TEST_CASE("a clock that is behind what the journal received last is behind") {
  Door door;
  const Message last = Door::message("cellar/probe/celsius", "18.5", kNow);
  REQUIRE(door.journal.record(last, decode(last, door.sources)));
  Admission admission = Admission::begin(door.journal, 100, false).value();
  CHECK_FALSE(door.admit(admission, Door::stamped(kNow, kNow - days(2))).has_value());
}

TEST_CASE("in a rehearsal the messages give the time") {
  Door door;
  Admission admission = Admission::begin(door.journal, 100, true).value();
  CHECK(door.admit(admission, Door::stamped(kNow, Time{})).has_value());
}

TEST_CASE("readings of a sensor above the limit are refused and counted; other sensors lose nothing") {
  Door door;
  Admission admission = Admission::begin(door.journal, 100, false).value();
  std::size_t flood = 0;
  std::size_t others = 0;
  for (int i = 0; i < 1000; ++i) {
    for (const char* topic : {"cellar/flood/celsius", "cellar/probe/celsius"}) {
      if (i % 100 != 0 && std::string(topic) == "cellar/probe/celsius") continue;
      const Message m = Door::message(topic, "18.5", kNow + Duration(i * 100));
      const auto decoded = door.admit(admission, m).value();
      REQUIRE(door.admit(admission, m).value().readings.size() ==
              decoded.readings.size());  // not kept at first
      REQUIRE(door.journal.record(m, decoded));
      admission.taken();
      for (const Reading& reading : decoded.readings) ++(reading.sensor == "flood" ? flood : others);
    }
  }
  CHECK(others == 10);
  CHECK(flood <= 103);
  CHECK(flood >= 100);
  const JournalCounts counts = door.journal.counts().value();
  CHECK(counts.readings == static_cast<std::int64_t>(flood + others));
  // 100 s of it: reported at the first and a minute later.
  const auto refusals = door.journal.recent_refusals(100).value();
  REQUIRE(refusals.size() == 2);
  CHECK(refusals[0].reason == "too_many");
  CHECK(refusals[0].sensor == "flood");
  CHECK(counts.refusals.at("too_many") >= 590);
  CHECK(counts.refusals.at("too_many") <= 610);
}
