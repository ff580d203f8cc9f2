#include "alerts/delivery.h"

#include <catch2/catch.hpp>
#include <deque>
#include <filesystem>

#include "alerts/retry_pause.h"
#include "base/rfc3339.h"
#include "storage/batch_store.h"
#include "support/manual_clock.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

// The loop by hand: work is done when the test says so, pauses pass when it moves the clock.
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

struct FarEnd {
  bool up = true;
  std::vector<std::string> got;
};

class FakeChannel final : public Channel {
 public:
  FakeChannel(std::string name, FarEnd& far) : name_(std::move(name)), far_(far) {}
  std::string name() const override { return name_; }
  void send(const Notice& notice, std::function<void(Status)> done) override {
    if (!far_.up) return done(fail(Errc::unavailable, "down"));
    far_.got.push_back(notice.sentence);
    done(success());
  }

 private:
  std::string name_;
  FarEnd& far_;
};

struct Fixture {
  test::TempDir dir;
  test::ManualClock clock{parse_rfc3339("2026-03-01T18:30:00Z").value()};
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Outbox outbox{database};
  HandLoop loop{clock, {}, {}};
  FarEnd first, second;
  std::int64_t batch = BatchStore(database).pitch({"cellar", "b", clock.now(), ""}).value();

  std::unique_ptr<Delivery> start() {
    std::vector<std::unique_ptr<Channel>> channels;
    channels.push_back(std::make_unique<FakeChannel>("first", first));
    channels.push_back(std::make_unique<FakeChannel>("second", second));
    return std::make_unique<Delivery>(
        database, clock, loop.scheduling(), [] { return 0.5; }, std::move(channels));
  }
  void decide(AlertKind kind, const std::string& sentence, Decision::State state = Decision::State::raised) {
    Decision decision;
    decision.time = clock.now();
    decision.kind = kind;
    decision.state = state;
    const std::vector<std::string> channels{"first", "second"};
    REQUIRE(outbox.record(batch, decision, sentence, "{}", channels).has_value());
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
  CHECK(f.first.got == std::vector<std::string>{"one", "two"});
  CHECK(f.second.got == std::vector<std::string>{"one", "two"});
}

TEST_CASE("a channel that is down keeps nothing from the others, and is owed until it is up") {
  Fixture f;
  auto delivery = f.start();
  f.second.up = false;
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.got == std::vector<std::string>{"one"});
  CHECK(f.second.got.empty());
  f.second.up = true;
  f.loop.pass(retry_pause(1, 0.5) + seconds(1));
  CHECK(f.second.got == std::vector<std::string>{"one"});
  CHECK(f.first.got.size() == 1);
}

TEST_CASE("what a stop interrupts is delivered after the next start, and only that") {
  Fixture f;
  auto delivery = f.start();
  f.second.up = false;
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();
  f.loop.settle();
  delivery.reset();
  f.loop.later.clear();
  f.second.up = true;
  f.clock.set(f.clock.now() + days(7));
  delivery = f.start();
  delivery->wake();
  f.loop.settle();
  CHECK(f.first.got.size() == 1);
  CHECK(f.second.got == std::vector<std::string>{"one"});
}

TEST_CASE("a completion that comes after the end changes nothing") {
  Fixture f;
  auto delivery = f.start();
  f.decide(AlertKind::fermentation_started, "one");
  delivery->wake();  // sent; its completion is posted
  delivery.reset();
  f.loop.settle();
  CHECK(f.outbox.due("first", f.clock.now()).value().size() == 1);  // delivered again by the next start
}
