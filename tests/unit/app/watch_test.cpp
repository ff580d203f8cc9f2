#include "app/watch.h"

#include <fmt/format.h>
#include <spdlog/sinks/ostream_sink.h>
#include <spdlog/spdlog.h>
#include <sqlite3.h>
#include <catch2/catch.hpp>
#include <mutex>
#include <sstream>
#include <thread>

#include "app/daemon_cellar.h"
#include "app/past_reader.h"
#include "base/rfc3339.h"
#include "clock/message_clock.h"
#include "config/batch_file.h"
#include "rehearsal/rehearsal.h"
#include "storage/amendment_log.h"
#include "support/temp_dir.h"
#include "wording/format.h"

using namespace gyle;

namespace {

// The alerts, one line each.
std::vector<std::string> reported(Database& database, std::int64_t batch) {
  std::vector<std::string> lines;
  Outbox outbox(database);
  const auto alerts = outbox.alerts(batch);
  for (const StoredAlert& alert : alerts.value()) {
    lines.push_back(fmt::format("{} {} {}: {}", format_rfc3339(alert.time), alert.kind, name(alert.state),
                                alert.sentence));
  }
  return lines;
}

struct TestCellar {
  test::TempDir dir;
  Database writing = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{writing};
  Database reading = std::move(Database::open(dir.path() / "j.db").value());
  std::vector<Vessel> vessels{{"cellar", {"hydrometer", "probe"}}, {"attic", {}}};
  std::unique_ptr<Watch> watch;

  TestCellar() { restart(); }

  void restart() {
    watch.reset();
    watch = std::make_unique<Watch>(reading, AlertRouting({{"log", {}, false, false, false, LogSettings{}}}),
                                    [] {});
    REQUIRE(watch->configure(vessels, {}).has_value());
    REQUIRE(watch->open().has_value());
  }
  // Of the only batch.
  BatchTrace trace() { return *watch->trace(BatchStore(reading).all().value().at(0)).value(); }
  std::vector<JournalRow> keep(const std::vector<Reading>& readings, Time received) {
    Message message;
    message.received = received;
    return journal.record(message, {readings, {}}).value();
  }
  void deliver(const std::vector<Reading>& readings, Time received) {
    for (const JournalRow& row : keep(readings, received)) watch->take(row);
  }
};

Rehearsal three_weeks() {
  RehearsalOptions options;
  options.seed = 7;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(60);
  return rehearse(options).value();
}

StoredBatch only_batch(Database& database) { return BatchStore(database).all().value().at(0); }

// To the last bit.
void check_equal(const BatchTrace& a, const BatchTrace& b) {
  const auto numbers = [](const CurvePoint& p) {
    return std::tuple(p.time, p.gravity_raw, p.gravity.value, p.gravity.low, p.gravity.high, p.temperature,
                      p.attenuation, p.stage);
  };
  REQUIRE(a.curve().size() == b.curve().size());
  for (std::size_t i = 0; i < a.curve().size(); ++i) REQUIRE(numbers(a.curve()[i]) == numbers(b.curve()[i]));
  const auto same = [](const UsedReading& m, const UsedReading& n) {
    return std::tie(m.time, m.quantity, m.value) == std::tie(n.time, n.quantity, n.value);
  };
  CHECK(std::equal(a.beer().begin(), a.beer().end(), b.beer().begin(), b.beer().end(), same));
  CHECK(std::equal(a.ambient().begin(), a.ambient().end(), b.ambient().begin(), b.ambient().end(), same));
  CHECK(std::equal(a.samples().begin(), a.samples().end(), b.samples().begin(), b.samples().end(), same));
  CHECK(a.whole() == b.whole());
}

}  // namespace

TEST_CASE("restarts at any point change no alert and repeat none") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar steady;
  TestCellar shaken;
  REQUIRE(steady.watch->pitch("cellar", rehearsal.spec).has_value());
  REQUIRE(shaken.watch->pitch("cellar", rehearsal.spec).has_value());
  int count = 0;
  for (const auto& message : rehearsal.messages) {
    ++count;
    for (TestCellar* cellar : {&steady, &shaken}) {
      // The clock ticks between messages too, seldom enough to matter.
      if (count % 50 == 0) cellar->watch->tick(message.delivered - minutes(1));
      const auto rows = cellar->keep(message.readings, message.delivered);
      // Killed after the journal has it and before the judgement does.
      if (cellar == &shaken && count % 37 == 0) {
        cellar->restart();
        continue;
      }
      for (const JournalRow& row : rows) cellar->watch->take(row);
    }
  }
  const auto expected = reported(steady.reading, 1);
  CHECK(expected.size() >= 3);
  CHECK(reported(shaken.reading, 1) == expected);
  check_equal(steady.trace(), shaken.trace());
}

TEST_CASE("the trace of an open batch equals that of a full re-evaluation") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  int count = 0;
  for (const auto& message : rehearsal.messages) {
    if (++count % 50 == 0) cellar.watch->tick(message.delivered - minutes(1));
    cellar.deliver(message.readings, message.delivered);
    if (count != 200) continue;
    REQUIRE(cellar.watch->sample(1, SpecificGravity::unchecked(1.030), message.delivered - hours(2),
                                 message.delivered));
  }
  const BatchTrace grown = cellar.trace();
  CHECK(grown.curve().size() > 400);
  CHECK(grown.beer().size() > 400);
  REQUIRE(grown.samples().size() == 1);
  CHECK(grown.samples()[0].value == 1.030);
  cellar.restart();
  check_equal(grown, cellar.trace());
  // And packaged, of which nothing is kept over a restart.
  REQUIRE(cellar.watch->package(1, rehearsal.messages.back().delivered).has_value());
  cellar.restart();
  check_equal(grown, cellar.trace());
}

TEST_CASE("a pitch entered late starts with the readings in the journal") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar early;
  TestCellar late;
  REQUIRE(early.watch->pitch("cellar", rehearsal.spec).has_value());
  const std::size_t entered = rehearsal.messages.size() / 4;
  for (std::size_t i = 0; i < rehearsal.messages.size(); ++i) {
    const auto& message = rehearsal.messages[i];
    if (i == entered) REQUIRE(late.watch->pitch("cellar", rehearsal.spec).has_value());
    early.deliver(message.readings, message.delivered);
    late.deliver(message.readings, message.delivered);
  }
  CHECK_FALSE(reported(early.reading, 1).empty());
  CHECK(reported(late.reading, 1) == reported(early.reading, 1));
}

TEST_CASE("a sensor that moves to another vessel is used by the first batch no longer") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  const std::size_t moved = rehearsal.messages.size() / 5;
  for (std::size_t i = 0; i < 2 * moved; ++i) {
    if (i == moved) {
      cellar.vessels = {{"cellar", {"probe"}}, {"attic", {"hydrometer"}}};
      cellar.restart();
    }
    cellar.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
  const auto curve = cellar.trace().curve();
  REQUIRE_FALSE(curve.empty());
  CHECK(curve.back().time <= rehearsal.messages[moved].delivered);
}

TEST_CASE("a packaged batch keeps its curve and takes no more readings") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  const std::size_t half = rehearsal.messages.size() / 2;
  for (std::size_t i = 0; i < half; ++i) {
    cellar.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
  const Time end = rehearsal.messages[half].delivered;
  const auto before = cellar.trace().curve().size();
  CHECK(before > 0);
  REQUIRE(cellar.watch->package(1, end).has_value());
  const auto again = cellar.watch->package(1, end);
  REQUIRE(!again);
  CHECK(again.error().message ==
        fmt::format("the batch \"{}\" was packaged on {} already", rehearsal.spec.name, show_time(end, {})));
  for (std::size_t i = half; i < rehearsal.messages.size(); ++i) {
    cellar.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
  cellar.restart();
  CHECK(cellar.trace().curve().size() == before);
}

TEST_CASE("a pitch into a vessel that is not configured, or is in use, is refused") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  CHECK(cellar.watch->pitch("bucket", rehearsal.spec).error().code == Errc::not_found);
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  CHECK(cellar.watch->pitch("cellar", rehearsal.spec).error().code == Errc::conflict);
}

namespace {

constexpr auto kSampled = SpecificGravity::unchecked(1.020);

}  // namespace

// Two cellars with the same messages. In one the sample comes while some of them, in the journal already, are
// still on their way to the judgement; in the other everything is read from the journal at a restart.
TEST_CASE("a sample is judged in the order of the journal, before and after a restart") {
  const Rehearsal rehearsal = three_weeks();
  const std::size_t on_their_way = GENERATE(0u, 1u, 5u);
  CAPTURE(on_their_way);
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  std::vector<JournalRow> late;
  const std::size_t sampled = rehearsal.messages.size() / 4;
  for (std::size_t i = 0; i < rehearsal.messages.size() / 2; ++i) {
    const auto& message = rehearsal.messages[i];
    const auto rows = cellar.keep(message.readings, message.delivered);
    if (i + on_their_way > sampled && i <= sampled) {
      late.insert(late.end(), rows.begin(), rows.end());
    } else {
      for (const JournalRow& row : rows) cellar.watch->take(row);
    }
    if (i != sampled) continue;
    REQUIRE(cellar.watch->sample(1, kSampled, message.delivered, message.delivered).has_value());
    cellar.watch->tick(message.delivered + minutes(1));
    for (const JournalRow& row : late) cellar.watch->take(row);  // these were taken with the sample
  }
  const StoredBatch batch = only_batch(cellar.reading);
  const BatchView live = cellar.watch->view(batch).value();
  const auto said = reported(cellar.reading, 1);
  cellar.restart();
  const BatchView again = cellar.watch->view(batch).value();
  CHECK(again.time == live.time);
  CHECK(again.gravity->value == live.gravity->value);
  CHECK(again.gravity->low == live.gravity->low);
  CHECK(again.offset->value.value == live.offset->value.value);
  CHECK(again.forecast.final_time->value == live.forecast.final_time->value);
  CHECK(reported(cellar.reading, 1) == said);
}

TEST_CASE("a sample moves the estimate at once, and counts once") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  for (std::size_t i = 0; i < rehearsal.messages.size() / 2; ++i) {
    cellar.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
  const StoredBatch batch = only_batch(cellar.reading);
  const BatchView before = cellar.watch->view(batch).value();
  const auto sample = SpecificGravity::unchecked(before.gravity->value - 0.004);
  REQUIRE(cellar.watch->sample(1, sample, before.time, before.time).has_value());
  const BatchView after = cellar.watch->view(batch).value();
  CHECK(after.gravity->value < before.gravity->value - 0.001);
  CHECK(after.offset->value.value > before.offset->value.value + 1);
  CHECK(cellar.watch->sample(1, sample, before.time, before.time).error().code == Errc::conflict);
  CHECK(cellar.watch->view(batch).value().gravity->value == after.gravity->value);
}

TEST_CASE(
    "a sample of a batch that has left its vessel is refused, and the next batch does not see the old ones") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  const Time end = rehearsal.spec.pitched + days(1);
  REQUIRE(cellar.watch->sample(1, kSampled, end, end).has_value());
  REQUIRE(cellar.watch->package(1, end).has_value());
  CHECK(cellar.watch->sample(1, kSampled, end + hours(1), end + hours(1)).error().code == Errc::conflict);
  CHECK(cellar.watch->outlook(1, {}).error().code == Errc::conflict);
  BatchSpec next = rehearsal.spec;
  next.pitched = end + hours(1);
  REQUIRE(cellar.watch->pitch("cellar", next).has_value());
  CHECK(cellar.watch->view(BatchStore(cellar.reading).all().value().at(1)).value().time == next.pitched);
}

namespace {

// What is logged while this lives.
class HeardLog {
 public:
  HeardLog() : before_(spdlog::default_logger()) {
    spdlog::set_default_logger(
        std::make_shared<spdlog::logger>("", std::make_shared<spdlog::sinks::ostream_sink_st>(text_)));
  }
  HeardLog(const HeardLog&) = delete;
  HeardLog& operator=(const HeardLog&) = delete;
  ~HeardLog() { spdlog::set_default_logger(before_); }
  std::string text() const { return text_.str(); }

 private:
  std::shared_ptr<spdlog::logger> before_;
  std::ostringstream text_;
};

void run_sql(const std::filesystem::path& database, const char* sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(database.c_str(), &db) == SQLITE_OK);
  CHECK(sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

}  // namespace

TEST_CASE("a batch with a damaged description is kept and logged, and the others are watched") {
  using Catch::Matchers::Contains;
  const Rehearsal rehearsal = three_weeks();
  BatchSpec in_attic = rehearsal.spec;
  in_attic.name = "Attic stout";
  TestCellar steady;
  TestCellar damaged;
  for (TestCellar* cellar : {&steady, &damaged}) {
    cellar->vessels = {{"cellar", {"hydrometer"}}, {"attic", {"hydrometer", "probe"}}};
    cellar->restart();
    REQUIRE(cellar->watch->pitch("cellar", rehearsal.spec).value() == 1);
    REQUIRE(cellar->watch->pitch("attic", in_attic).value() == 2);
  }
  const auto deliver = [&](std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < to; ++i) {
      const auto& message = rehearsal.messages[i];
      steady.deliver(message.readings, message.delivered);
      damaged.deliver(message.readings, message.delivered);
    }
  };
  const std::size_t part = rehearsal.messages.size() / 3;
  const auto database = damaged.dir.path() / "j.db";
  deliver(0, part);
  run_sql(database, "UPDATE batch SET spec = 'x' || spec WHERE id = 2");
  {
    const HeardLog log;
    damaged.restart();
    CHECK_THAT(log.text(), Contains("error") && Contains("Attic stout") && Contains("batch 2:1") &&
                               Contains("gylekeeper package 2"));
    CHECK_THAT(log.text(), !Contains(rehearsal.spec.name));
  }
  deliver(part, 2 * part);
  CHECK(reported(damaged.reading, 1).size() >= 2);
  CHECK(reported(damaged.reading, 1) == reported(steady.reading, 1));

  const MessageClock clock;
  const AlertRouting nobody({});
  Announcer announcer(damaged.reading, nobody, [] {});
  DaemonCellar cellar(*damaged.watch, announcer, nobody, damaged.reading, clock, Time{}, "");
  const auto batches = cellar.batches();
  REQUIRE(batches.size() == 2);
  CHECK(batches[0].unreadable.empty());
  CHECK(batches[1].spec.name == "Attic stout");
  CHECK_THAT(batches[1].unreadable, Contains("batch 2:1"));
  CHECK_FALSE(cellar.sample(2, kSampled, rehearsal.spec.pitched + days(1)).has_value());

  SECTION("when it is repaired, it has missed nothing") {
    run_sql(database, "UPDATE batch SET spec = substr(spec, 2) WHERE id = 2");
    damaged.restart();
    deliver(2 * part, 3 * part);
    CHECK(reported(damaged.reading, 2) == reported(steady.reading, 2));
  }
  SECTION("it can be ended, and its vessel is free again") {
    CHECK(cellar.package(2, rehearsal.messages[2 * part].delivered).value().packaged.has_value());
    CHECK(damaged.watch->pitch("attic", in_attic).has_value());
  }
}

namespace {

// A batch that has run and is packaged, in a journal that goes on after it.
void run_and_package(TestCellar& cellar, const Rehearsal& rehearsal) {
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  int count = 0;
  for (const auto& message : rehearsal.messages) {
    if (++count % 50 == 0) cellar.watch->tick(message.delivered - minutes(1));
    cellar.deliver(message.readings, message.delivered);
  }
  REQUIRE(cellar.watch->package(1, rehearsal.messages.back().delivered).has_value());
}

std::string ending_of(TestCellar& cellar) {
  const StoredBatch batch = only_batch(cellar.reading);
  return ending_json({cellar.watch->view(batch).value(), cellar.watch->yeast_run(batch).value()});
}

}  // namespace

TEST_CASE("a batch's ending is stored when it is packaged, and equals that of a re-evaluation") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  run_and_package(cellar, rehearsal);
  const auto stored = BatchStore(cellar.reading).ending(1).value();
  REQUIRE(stored);
  REQUIRE(parse_ending(stored->text));
  CHECK(parse_ending(stored->text).value().run.has_value());
  CHECK(ending_of(cellar) == stored->text);

  SECTION("nothing is read to show it") {
    run_sql(cellar.dir / "j.db", "UPDATE reading SET value = 7");
    cellar.restart();
    CHECK(ending_of(cellar) == stored->text);
  }
  SECTION("from the journal it is the same") {
    run_sql(cellar.dir / "j.db", "DELETE FROM batch_end");
    cellar.restart();
    CHECK(ending_of(cellar) == stored->text);
    // And it is stored again.
    CHECK(BatchStore(cellar.reading).ending(1).value()->text == stored->text);
    CHECK(BatchStore(cellar.reading).ending(1).value()->after_reading == stored->after_reading);
  }
  SECTION("after an amendment it is made again") {
    REQUIRE(AmendmentLog(cellar.reading)
                .amend(1, AmendedThing::packaged, 0,
                       format_rfc3339(rehearsal.messages.back().delivered + hours(1)),
                       rehearsal.messages.back().delivered + hours(2)));
    CHECK_FALSE(BatchStore(cellar.reading).ending(1).value());
    REQUIRE(cellar.watch->re_evaluate(1));
    CHECK(ending_of(cellar) != stored->text);
    CHECK(BatchStore(cellar.reading).ending(1).value()->text == ending_of(cellar));
  }
}

namespace {

// What another thread posts, run here.
struct Posted {
  std::mutex mutex;
  std::deque<std::function<void()>> work;

  std::function<void(std::function<void()>)> post() {
    return [this](std::function<void()> one) {
      const std::lock_guard lock(mutex);
      work.push_back(std::move(one));
    };
  }
  // Whether something came within 30 s.
  bool run_one() {
    for (int i = 0; i < 30'000; ++i, std::this_thread::sleep_for(std::chrono::milliseconds(1))) {
      std::unique_lock lock(mutex);
      if (work.empty()) continue;
      const auto one = std::move(work.front());
      work.pop_front();
      lock.unlock();
      one();
      return true;
    }
    return false;
  }
};

}  // namespace

TEST_CASE("what is missing of a packaged batch is read by another thread, and then known") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  run_and_package(cellar, rehearsal);
  const auto stored = BatchStore(cellar.reading).ending(1).value();
  const BatchTrace trace = cellar.trace();
  run_sql(cellar.dir / "j.db", "DELETE FROM batch_end");
  cellar.restart();
  const StoredBatch batch = only_batch(cellar.reading);
  Posted posted;
  PastReader reader(cellar.dir / "j.db", posted.post());
  cellar.watch->ended().read_by(reader);
  int called = 0;

  SECTION("both its end and its curve, with one reading of the journal") {
    for (int i = 0; i < 3; ++i) {
      CHECK(cellar.watch->view(batch).error().code == Errc::unavailable);
      CHECK(cellar.watch->trace(batch).error().code == Errc::unavailable);
      CHECK(cellar.watch->ended().was_missing());
      CHECK_FALSE(cellar.watch->ended().was_missing());
      cellar.watch->ended().when_read([&] { ++called; });
    }
    REQUIRE(posted.run_one());
    CHECK(called == 3);
    CHECK(ending_of(cellar) == stored->text);
    check_equal(cellar.trace(), trace);
    CHECK(BatchStore(cellar.reading).ending(1).value()->text == stored->text);
    CHECK_FALSE(cellar.watch->ended().was_missing());
    CHECK(posted.work.empty());
  }
  SECTION("again, when it was amended meanwhile") {
    CHECK_FALSE(cellar.watch->view(batch));
    const Time later = rehearsal.messages.back().delivered + hours(1);
    REQUIRE(AmendmentLog(cellar.reading).amend(1, AmendedThing::packaged, 0, format_rfc3339(later), later));
    REQUIRE(cellar.watch->re_evaluate(1));
    cellar.watch->ended().when_read([&] { ++called; });
    REQUIRE(posted.run_one());
    CHECK(called == 1);
    const StoredBatch amended = only_batch(cellar.reading);
    CHECK_FALSE(cellar.watch->view(amended));  // what was read is of before
    REQUIRE(posted.run_one());
    REQUIRE(cellar.watch->view(amended));
    CHECK(ending_of(cellar) != stored->text);
  }
  SECTION("and a failure is known to those who wait") {
    run_sql(cellar.dir / "j.db", "UPDATE batch SET spec = 'rubbish'");
    const StoredBatch unreadable = only_batch(cellar.reading);
    CHECK(cellar.watch->view(unreadable).error().code == Errc::unavailable);
    cellar.watch->ended().when_read([&] {
      ++called;
      CHECK(cellar.watch->view(unreadable).error().code == Errc::malformed);
      CHECK(cellar.watch->trace(unreadable).error().code == Errc::malformed);
    });
    static_cast<void>(cellar.watch->ended().was_missing());
    REQUIRE(posted.run_one());
    CHECK(called == 1);
    CHECK_FALSE(cellar.watch->ended().was_missing());
  }
}

TEST_CASE("a batch is re-evaluated by another thread as it would be at once, whatever comes meanwhile") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar at_once;
  TestCellar beside;
  Posted posted;
  PastReader reader(beside.dir / "j.db", posted.post());
  const std::size_t half = rehearsal.messages.size() / 2;
  double before = 0;  // the original gravity
  for (TestCellar* cellar : {&at_once, &beside}) {
    REQUIRE(cellar->watch->pitch("cellar", rehearsal.spec).has_value());
    if (cellar == &beside) cellar->watch->ended().read_by(reader);
    for (std::size_t i = 0; i < rehearsal.messages.size(); ++i) {
      const auto& message = rehearsal.messages[i];
      if (i % 7 == 0) cellar->watch->tick(message.delivered - minutes(1));
      cellar->deliver(message.readings, message.delivered);
      if (i + 10 == half) {
        REQUIRE(cellar->watch->sample(1, kSampled, message.delivered, message.delivered));
        cellar->watch->tick(message.delivered + minutes(6));  // after the last reading
      }
      if (i == half) {
        BatchSpec spec = rehearsal.spec;
        spec.original_gravity = SpecificGravity::unchecked(1.066);
        REQUIRE(AmendmentLog(cellar->reading)
                    .amend(1, AmendedThing::description, 0,
                           description_text(spec.pitched, spec.name, format_batch(spec)), message.delivered));
        cellar->watch->tick(message.delivered + minutes(7));
        REQUIRE(cellar->watch->re_evaluate(1));
        if (cellar == &beside) {
          const StoredBatch batch = only_batch(cellar->reading);
          before = cellar->watch->view(batch).value().original_gravity.value();
          cellar->watch->show_only_corrected(true);
          CHECK(cellar->watch->view(batch).error().code == Errc::unavailable);
          CHECK(cellar->watch->trace(batch).error().code == Errc::unavailable);
          CHECK(cellar->watch->ended().was_missing());
          cellar->watch->show_only_corrected(false);
        }
        cellar->watch->tick(message.delivered + minutes(13));  // before anything else comes
      }
      if (i == half + 30 && cellar == &beside) {
        int called = 0;
        cellar->watch->ended().when_read([&] { ++called; });
        REQUIRE(posted.run_one());
        CHECK(called == 1);
        CHECK(cellar->watch->view(only_batch(cellar->reading)).value().original_gravity > before + 0.002);
      }
    }
  }
  CHECK(posted.work.empty());
  check_equal(at_once.trace(), beside.trace());
  const auto lines = reported(beside.reading, 1);
  CHECK(lines.size() >= 3);
  const BatchTrace trace = beside.trace();
  beside.restart();
  check_equal(trace, beside.trace());
  CHECK(reported(beside.reading, 1) == lines);
}

TEST_CASE("a batch that is packaged while it is re-evaluated ends as corrected") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  Posted posted;
  PastReader reader(cellar.dir / "j.db", posted.post());
  REQUIRE(cellar.watch->pitch("cellar", rehearsal.spec).has_value());
  cellar.watch->ended().read_by(reader);
  for (const auto& message : rehearsal.messages) cellar.deliver(message.readings, message.delivered);
  const Time end = rehearsal.messages.back().delivered;
  BatchSpec spec = rehearsal.spec;
  spec.original_gravity = SpecificGravity::unchecked(1.066);
  REQUIRE(AmendmentLog(cellar.reading)
              .amend(1, AmendedThing::description, 0,
                     description_text(spec.pitched, spec.name, format_batch(spec)), end));
  REQUIRE(cellar.watch->re_evaluate(1));
  REQUIRE(cellar.watch->package(1, end));
  REQUIRE(posted.run_one());  // nobody needs it any more
  CHECK_FALSE(cellar.watch->outlook(1, {}));
  const StoredBatch batch = only_batch(cellar.reading);
  CHECK(cellar.watch->view(batch).error().code == Errc::unavailable);
  REQUIRE(posted.run_one());
  CHECK(cellar.watch->view(batch).value().original_gravity > 1.061);
}

TEST_CASE("only the rows between a batch's pitch and end are read from the journal") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  // Another sensor's, long before and long after.
  cellar.deliver({{rehearsal.spec.pitched - days(9), "other", Quantity::gravity, 1.0}},
                 rehearsal.spec.pitched - days(9));
  run_and_package(cellar, rehearsal);
  const auto newest = Journal(cellar.reading).counts().value().readings;
  cellar.deliver({{rehearsal.messages.back().delivered + days(9), "hydrometer", Quantity::gravity, 1.0}},
                 rehearsal.messages.back().delivered + days(9));
  const RowSpan span = WatchLog(cellar.reading).span(1).value();
  CHECK(span.after == 1);
  CHECK(span.until == newest);
  const BatchTrace before = cellar.trace();
  cellar.restart();
  check_equal(before, cellar.trace());
}

TEST_CASE("a batch that cannot be judged when it is stored is judged with the next tick") {
  const Rehearsal rehearsal = three_weeks();
  TestCellar cellar;
  run_sql(cellar.dir / "j.db", "ALTER TABLE tick RENAME TO tock");
  const auto pitched = cellar.watch->pitch("cellar", rehearsal.spec);
  REQUIRE(pitched);
  CHECK(WatchLog(cellar.reading).assignments(1).value().size() == 3);
  run_sql(cellar.dir / "j.db", "ALTER TABLE tock RENAME TO tick");
  cellar.watch->tick(rehearsal.messages.front().delivered);
  for (std::size_t i = 0; i < 10; ++i) {
    cellar.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
  CHECK(cellar.trace().size() > 0);
  CHECK(cellar.watch->outlook(1, {}));
}

TEST_CASE("a clock that was ahead for a minute does not harm the batch") {
  const bool restarted = GENERATE(false, true);
  CAPTURE(restarted);
  const Rehearsal rehearsal = three_weeks();
  TestCellar steady;
  TestCellar leapt;
  REQUIRE(steady.watch->pitch("cellar", rehearsal.spec).has_value());
  REQUIRE(leapt.watch->pitch("cellar", rehearsal.spec).has_value());
  std::ostringstream log;
  const auto logger = spdlog::default_logger();
  spdlog::set_default_logger(
      std::make_shared<spdlog::logger>("test", std::make_shared<spdlog::sinks::ostream_sink_mt>(log)));
  int count = 0;
  for (const auto& message : rehearsal.messages) {
    ++count;
    for (TestCellar* cellar : {&steady, &leapt}) {
      cellar->watch->tick(message.delivered - minutes(1));
      cellar->deliver(message.readings, message.delivered);
      if (cellar == &leapt && count == 60) {
        cellar->watch->tick(message.delivered + days(20));
        if (restarted) cellar->restart();
      }
    }
  }
  spdlog::set_default_logger(logger);
  const auto expected = reported(steady.reading, 1);
  REQUIRE(expected.size() >= 3);
  const BatchView view = leapt.watch->view(only_batch(leapt.reading)).value();
  CHECK(view.time == steady.watch->view(only_batch(steady.reading)).value().time);
  check_equal(steady.trace(), leapt.trace());
  const std::string said = log.str();
  const auto first = said.find("the clock was ahead by");
  REQUIRE(first != std::string::npos);
  CHECK(said.find("the clock was ahead by", first + 1) == std::string::npos);
  // Alerts by the wrong clock were withdrawn, and all others are as without it.
  const auto has = [](const std::vector<std::string>& lines, const std::string& word) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const std::string& line) { return line.find(word) != std::string::npos; });
  };
  CHECK(has(expected, "final-gravity-stable raised"));
  CHECK(has(reported(leapt.reading, 1), "final-gravity-stable raised"));
}
