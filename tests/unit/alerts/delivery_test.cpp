#include "alerts/delivery.h"

#include <catch2/catch.hpp>
#include <deque>
#include <filesystem>

#include "alerts/delivery_plan.h"
#include "base/rfc3339.h"
#include "storage/batch_store.h"
#include "support/failing_disk.h"
#include "support/manual_clock.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

// A manual loop: the test runs the work and moves the clock.
struct HandLoop {
  test::ManualClock& clock;
  std::deque<std::function<void()>> posted;
  std::vector<std::pair<Time, std::function<void()>>> later;

  Scheduling scheduling() {
    return {[this](std::function<void()> work) { posted.push_back(std::move(work)); },
            [this](Duration pause, std::function<void()> work) {
              later.emplace_back(clock.now() + pause, std::move(work));
            }};
  }
  void settle() {
    while (!posted.empty()) {
      const auto work = std::move(posted.front());
      posted.pop_front();
      work();
    }
  }
  void pass(Duration time) {
    clock.set(clock.now() + time);
    auto due = std::move(later);
    later.clear();
    for (auto& [when, work] : due) {
      if (when <= clock.now()) {
        work();
      } else {
        later.emplace_back(when, std::move(work));
      }
    }
    settle();
  }
};

struct Destination {
  Delivered answer{Delivered::Outcome::arrived, "ok", {}};
  std::vector<Notice> tried;
  std::vector<Notice> got;
  std::function<void()> on_send;
  std::vector<std::string> texts() const {
    std::vector<std::string> all;
    for (const Notice& notice : got) all.push_back(notice.text);
    return all;
  }
};

class FakeChannel final : public Channel {
 public:
  explicit FakeChannel(Destination& far) : far_(far) {}
  void send(const Notice& notice, std::function<void(Delivered)> done) override {
    far_.tried.push_back(notice);
    if (far_.on_send) std::exchange(far_.on_send, nullptr)();
    if (far_.answer.outcome == Delivered::Outcome::arrived) far_.got.push_back(notice);
    done(far_.answer);
  }

 private:
  Destination& far_;
};

using Texts = std::vector<std::string>;

const Delivered kDown{Delivered::Outcome::later, "down", {}};
const Delivered kUp{Delivered::Outcome::arrived, "ok", {}};

struct Fixture {
  test::TempDir dir;
  test::ManualClock clock{parse_rfc3339("2026-03-01T18:30:00Z").value()};
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Outbox outbox{database};
  HandLoop loop{clock, {}, {}};
  Destination first, second;
  bool second_is_a_person = false;
  Calm calm;
  std::int64_t batch = BatchStore(database).pitch({"cellar", "b", clock.now(), ""}).value();

  std::unique_ptr<Delivery> start() {
    std::vector<NamedChannel> channels;
    channels.push_back({"first", false, std::make_unique<FakeChannel>(first)});
    channels.push_back({"second", second_is_a_person, std::make_unique<FakeChannel>(second)});
    return std::make_unique<Delivery>(
        database, clock, clock, loop.scheduling(), [] { return 0.5; }, std::move(channels),
        Delivery::Options{calm, {}, {}});
  }
  void decide(AlertKind kind, const std::string& sentence, Decision::State state = Decision::State::raised) {
    const std::vector<std::string> channels{"first", "second"};
    const Decision decision{clock.now(), kind, state, 1, {}, "", {}};
    REQUIRE(outbox.record(alert_of(batch, decision, sentence, "{}"), channels).has_value());
  }
};

}  // namespace

TEST_CASE("every channel gets every alert once, in order") {
  Fixture f;
  auto delivery = f.start();
  f.decide(AlertKind::fermentation_started, "one");
  f.decide(AlertKind::step_due, "two");
  delivery->wake();
  f.loop.settle();
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.texts() == Texts{"one", "two"});
  CHECK(f.second.texts() == Texts{"one", "two"});
  CHECK(f.first.got[0].id != f.first.got[1].id);
  CHECK(f.first.got[0].kind == "fermentation-started");
  CHECK(f.first.got[0].batch == "b");
}

TEST_CASE("a channel that is down does not affect the others and gets its alerts later") {
  Fixture f;
  auto delivery = f.start();
  f.second.answer = kDown;
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.texts() == Texts{"one"});
  CHECK(f.second.got.empty());
  f.second.answer = kUp;
  f.loop.pass(retry_pause(1, 0.5) + seconds(1));
  CHECK(f.second.texts() == Texts{"one"});
  CHECK(f.first.got.size() == 1);
}

TEST_CASE("an alert that was sent and cannot be noted as sent is not sent again") {
  Fixture f;
  auto delivery = f.start();
  f.decide(AlertKind::fermentation_started, "one");
  f.decide(AlertKind::step_due, "two");
  // Between the sending and the note, the database cannot be written any more.
  f.first.on_send = [&] { std::filesystem::rename(f.dir.path() / "j.db", f.dir.path() / "away.db"); };
  delivery->wake();
  f.loop.settle();
  for (int i = 0; i < 5; ++i) f.loop.pass(minutes(2));
  CHECK(f.first.texts() == Texts{"one"});
  std::filesystem::rename(f.dir.path() / "away.db", f.dir.path() / "j.db");
  for (int i = 0; i < 5; ++i) f.loop.pass(minutes(2));
  CHECK(f.first.texts() == Texts{"one", "two"});
  CHECK(f.outbox.waiting("first").value().empty());
  // And a restart knows that it was sent.
  delivery = f.start();
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.texts() == Texts{"one", "two"});
}

TEST_CASE("a pause that the destination asks for is kept") {
  Fixture f;
  auto delivery = f.start();
  f.second.answer = {Delivered::Outcome::later, "429", Duration(minutes(30))};
  f.decide(AlertKind::stuck, "one");
  delivery->wake();
  f.loop.settle();
  f.second.answer = kUp;
  f.loop.pass(minutes(29));
  CHECK(f.second.got.empty());
  f.loop.pass(minutes(2));
  CHECK(f.second.texts() == Texts{"one"});
}

TEST_CASE("a refused alert is parked, and the next one is delivered") {
  Fixture f;
  auto delivery = f.start();
  f.second.answer = {Delivered::Outcome::refused, "401 Unauthorized", {}};
  f.decide(AlertKind::stuck, "one");
  delivery->wake();
  f.loop.settle();
  f.second.answer = kUp;
  f.decide(AlertKind::battery_low, "two");
  delivery->wake();
  f.loop.settle();
  CHECK(f.second.texts() == Texts{"two"});
  CHECK(f.outbox.channels().value().at(1).refused == 1);
  CHECK(f.outbox.retry("second").value() == 1);
  delivery->wake();
  f.loop.settle();
  CHECK(f.second.texts() == Texts{"two", "one"});
}

TEST_CASE("an undelivered alert is delivered after a restart, and nothing else") {
  Fixture f;
  auto delivery = f.start();
  f.second.answer = kDown;
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();
  f.loop.settle();
  delivery.reset();
  f.loop.later.clear();
  f.second.answer = kUp;
  f.clock.set(f.clock.now() + days(7));
  delivery = f.start();
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.got.size() == 1);
  CHECK(f.second.texts() == Texts{"one"});
}

TEST_CASE("a completion after the destructor is ignored, and the message is sent again unchanged") {
  Fixture f;
  auto delivery = f.start();
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();  // sent; its completion is posted
  delivery.reset();
  f.loop.settle();
  CHECK(f.outbox.waiting("first").value().size() == 1);
  delivery = f.start();
  delivery->wake();
  f.loop.settle();
  REQUIRE(f.first.got.size() == 2);
  CHECK(f.first.got[0].id == f.first.got[1].id);  // so that the receiver recognises it
}

TEST_CASE("a person gets nothing during quiet hours and a summary afterwards") {
  Fixture f;
  f.second_is_a_person = true;
  f.calm.quiet = parse_quiet_hours("22:00-07:00").value();
  f.clock.set(parse_rfc3339("2026-03-01T23:00:00Z").value());
  auto delivery = f.start();
  f.decide(AlertKind::stuck, "It is stuck.");
  f.decide(AlertKind::battery_low, "Low.");
  f.decide(AlertKind::stuck, "It moves.", Decision::State::withdrawn);
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.got.size() == 3);
  CHECK(f.second.got.empty());
  for (int hour = 0; hour < 8; ++hour) f.loop.pass(hours(1) + minutes(1));
  REQUIRE(f.second.got.size() == 1);
  CHECK(f.second.got[0].kind == "summary");
  CHECK(f.second.got[0].text.find("Low.") != std::string::npos);
  CHECK(f.outbox.waiting("second").value().empty());
}

// The receiver may have accepted what it did not acknowledge, so one id must mean one message.
TEST_CASE("a message is unchanged at every attempt, even after new alerts") {
  Fixture f;
  f.second_is_a_person = true;
  f.decide(AlertKind::stuck, "It is stuck.");
  f.clock.set(f.clock.now() + hours(7));
  f.decide(AlertKind::battery_low, "Low.");
  auto delivery = f.start();
  f.second.answer = kDown;
  delivery->wake();
  f.loop.settle();
  f.decide(AlertKind::stuck, "It moves.", Decision::State::withdrawn);
  for (int i = 0; i < 4; ++i) f.loop.pass(minutes(5));
  REQUIRE(f.second.tried.size() >= 3);
  for (const Notice& notice : f.second.tried) {
    CHECK(notice.id == f.second.tried[0].id);
    CHECK(notice.text == f.second.tried[0].text);
    CHECK(notice.title == f.second.tried[0].title);
    CHECK(notice.severity == f.second.tried[0].severity);
  }
  CHECK(f.second.tried[0].kind == "summary");
}

TEST_CASE("after a week offline there is one message") {
  Fixture f;
  f.second_is_a_person = true;
  auto delivery = f.start();
  f.second.answer = kDown;
  for (const AlertKind kind : {AlertKind::fermentation_started, AlertKind::step_due, AlertKind::step_not_held,
                               AlertKind::final_gravity_stable}) {
    f.decide(kind, name(kind));
    delivery->wake();
    f.loop.settle();
    for (int hour = 0; hour < 40; ++hour) f.loop.pass(hours(1) + minutes(1));
  }
  CHECK(f.second.got.empty());
  f.second.answer = kUp;
  for (int hour = 0; hour < 8; ++hour) f.loop.pass(hours(1) + minutes(1));
  // The message being retried may arrive alone; the others are combined.
  CHECK(f.second.got.size() <= 2);
  std::string all;
  for (const Notice& notice : f.second.got) all += notice.text;
  CHECK(all.find("final-gravity-stable") != std::string::npos);
  CHECK(f.outbox.waiting("second").value().empty());
}

namespace {

Notice unstored(const char* id) {
  Notice notice{};
  notice.id = id;
  notice.text = "It cannot be written.";
  notice.severity = Severity::critical;
  return notice;
}

}  // namespace

TEST_CASE("what cannot be stored is sent past the outbox, once on each channel that takes it") {
  Fixture f;
  auto delivery = f.start();
  f.second.answer = kDown;
  std::vector<std::string> arrived;
  const auto keep = [&](const std::string& channel) { arrived.push_back(channel); };
  SECTION("on all, at last") {
    delivery->send_unstored(unstored("u-1"), Texts{"first", "second"}, keep);
    f.loop.settle();
    for (int i = 0; i < 5; ++i) {
      delivery->wake();
      f.loop.settle();
    }
    CHECK(f.first.texts() == Texts{"It cannot be written."});
    CHECK(f.second.tried.size() == 1);
    f.loop.pass(retry_pause(1, 0.5) + seconds(1));
    CHECK(f.second.tried.size() == 2);
    f.second.answer = kUp;
    f.loop.pass(retry_pause(2, 0.5) + seconds(1));
    CHECK(f.second.texts() == Texts{"It cannot be written."});
    CHECK(f.second.got[0].id == "u-1");
    CHECK(arrived == Texts{"first", "second"});
  }
  SECTION("only on those that are named") {
    delivery->send_unstored(unstored("u-1"), Texts{"first"}, keep);
    f.loop.settle();
    CHECK(f.second.tried.empty());
  }
  SECTION("not any more when it can be stored again") {
    delivery->send_unstored(unstored("u-1"), Texts{"second"}, keep);
    f.loop.settle();
    delivery->drop_unstored();
    CHECK(arrived.empty());
    f.second.answer = kUp;
  }
  SECTION("and not again where it is refused") {
    f.second.answer = {Delivered::Outcome::refused, "no", {}};
    delivery->send_unstored(unstored("u-1"), Texts{"second"}, keep);
    f.loop.settle();
    CHECK(arrived.empty());
  }
  const std::size_t tried = f.second.tried.size();
  for (int i = 0; i < 30; ++i) f.loop.pass(hours(1));
  CHECK(f.second.tried.size() == tried);
  CHECK(f.first.got.size() <= 1);
}

TEST_CASE("a message whose outcome cannot be noted does not hold up what cannot be stored") {
  const test::FailingDisk disk;
  Fixture f;
  auto delivery = f.start();
  f.decide(AlertKind::fermentation_started, "one");
  f.first.on_send = [] { test::FailingDisk::fail_from(1, SQLITE_FULL); };
  delivery->wake();
  f.loop.settle();
  delivery->send_unstored(unstored("u-1"), Texts{"first"}, [](const std::string&) {});
  f.loop.settle();
  CHECK(f.first.texts() == Texts{"one", "It cannot be written."});
  test::FailingDisk::heal();
  f.loop.pass(minutes(2));
  CHECK(f.outbox.waiting("first").value().empty());
  CHECK(f.first.got.size() == 2);
}
