// Corrections of wrong entries, from the request to the alerts.
#include <fmt/format.h>
#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "config/batch_file.h"
#include "rehearsal/rehearsal.h"
#include "running_daemon.h"
#include "storage/amendment_log.h"

using namespace gyle;
using nlohmann::json;
using test::RunningDaemon;

namespace {

Rehearsal two_weeks() {
  RehearsalOptions options;
  options.seed = 7;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(60);
  return rehearse(options).value();
}

std::vector<std::string> reported(RunningDaemon& daemon) {
  std::vector<std::string> lines;
  const auto alerts = daemon.cellar->alerts(1);
  for (const ReportedAlert& alert : alerts.value()) {
    lines.push_back(fmt::format("{} {} {} {}", format_rfc3339(alert.decision.time), name(alert.decision.kind),
                                alert.decision.occurrence, name(alert.decision.state)));
  }
  return lines;
}

std::vector<std::string> open(RunningDaemon& daemon) {
  std::vector<std::string> kinds;
  const auto alerts = daemon.cellar->alerts(1);
  for (const ReportedAlert& alert : alerts.value()) {
    if (alert.decision.state == Decision::State::raised && !alert.mark.over) {
      kinds.push_back(name(alert.decision.kind));
    }
  }
  std::sort(kinds.begin(), kinds.end());
  return kinds;
}

bool stands(RunningDaemon& daemon, const std::string& kind) {
  const auto kinds = open(daemon);
  return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

void deliver(RunningDaemon& daemon, const Rehearsal& rehearsal, std::size_t from, std::size_t to) {
  for (std::size_t i = from; i < to; ++i) {
    daemon.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
  }
}

}  // namespace

TEST_CASE("a corrected batch is as if it had been entered correctly, now and after restarts") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon right, wrong;
  BatchSpec mistaken = rehearsal.spec;
  mistaken.name = "Harbor amber";
  mistaken.original_gravity = SpecificGravity::unchecked(1.030);  // it seems to make no progress at first
  mistaken.plan.front().temperature = Celsius{30};
  REQUIRE(right.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(wrong.watch->pitch("cellar", mistaken));
  const std::size_t half = rehearsal.messages.size() / 2;
  for (RunningDaemon* daemon : {&right, &wrong}) deliver(*daemon, rehearsal, 0, half);
  REQUIRE(open(wrong) != open(right));

  const json amended = [&] {
    const HttpResponse response =
        respond({"POST", "/v1/batches/cellar/description", "application/toml", format_batch(rehearsal.spec)},
                *wrong.cellar, {});
    CAPTURE(response.body);
    REQUIRE(response.status == 201);
    return json::parse(response.body);
  }();
  CHECK(amended["lines"].dump().find("original gravity 1.0") != std::string::npos);
  CHECK(open(wrong) == open(right));
  CHECK(wrong.cellar->batches().at(0).spec.name == rehearsal.spec.name);
  CHECK(wrong.cellar->batches().at(0).view.gravity->value ==
        right.cellar->batches().at(0).view.gravity->value);

  const auto after = reported(wrong);
  wrong.restart();
  CHECK(reported(wrong) == after);
  for (std::size_t i = half; i < rehearsal.messages.size(); i += 100) {
    const std::size_t end = std::min(i + 100, rehearsal.messages.size());
    for (RunningDaemon* daemon : {&right, &wrong}) deliver(*daemon, rehearsal, i, end);
    REQUIRE(open(wrong) == open(right));
    const auto said = reported(wrong);
    wrong.restart();
    REQUIRE(reported(wrong) == said);
  }
}

TEST_CASE("an alert from a wrong entry is withdrawn with a sentence, and raised again when that is undone") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  deliver(daemon, rehearsal, 0, rehearsal.messages.size());
  const auto before = open(daemon);
  REQUIRE(stands(daemon, "final-gravity-stable"));

  // Stable for longer than the rehearsal lasts.
  BatchSpec stricter = rehearsal.spec;
  stricter.final_gravity.window = days(60);
  REQUIRE(daemon.cellar->amend(1, AmendedThing::description, 0, stricter));
  CHECK_FALSE(stands(daemon, "final-gravity-stable"));
  const ReportedAlert last = daemon.cellar->alerts(1).value().back();
  CHECK(last.decision.state == Decision::State::withdrawn);
  CHECK_THAT(last.text, Catch::Contains("An entry was corrected") && Catch::Contains("Do not package"));

  daemon.restart();
  REQUIRE(daemon.cellar->undo(1, {}));
  CHECK(open(daemon) == before);
  CHECK(daemon.cellar->alerts(1).value().back().decision.occurrence == 2);
  CHECK(daemon.cellar->undo(1, {}).error().code == Errc::not_found);
  const auto all = daemon.cellar->amendments(1).value();
  REQUIRE(all.size() == 2);
  CHECK(all[0].undone);
  CHECK(std::get<BatchSpec>(all[0].before).final_gravity.window == rehearsal.spec.final_gravity.window);
}

TEST_CASE("a wrong sample no longer counts when it is corrected or deleted") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon steady, daemon;
  const std::size_t part = rehearsal.messages.size() / 4;
  for (RunningDaemon* one : {&steady, &daemon}) {
    REQUIRE(one->watch->pitch("cellar", rehearsal.spec));
    deliver(*one, rehearsal, 0, part);
  }
  const auto gravity = [](RunningDaemon& one) { return one.cellar->batches().at(0).view.gravity->value; };
  const double before = gravity(daemon);
  const std::string typed = fmt::format("{:.4f}", before - 0.006);
  daemon.answer("POST", "/v1/batches/cellar/samples?gravity=" + typed);
  CHECK(gravity(daemon) < before - 0.001);
  const std::string sample = std::to_string(daemon.cellar->samples(1).value().at(0).number);

  daemon.answer("POST", "/v1/batches/cellar/samples/" + sample + "?gravity=" + fmt::format("{:.4f}", before));
  CHECK(std::abs(gravity(daemon) - before) < 0.001);
  daemon.answer("POST", "/v1/batches/cellar/samples/" + sample + "?take_back=yes");
  CHECK(gravity(daemon) == gravity(steady));
  CHECK(daemon.cellar->samples(1).value().empty());
  daemon.restart();
  CHECK(gravity(daemon) == gravity(steady));

  daemon.answer("POST", "/v1/batches/cellar/undo");
  CHECK(daemon.cellar->samples(1).value().size() == 1);
  CHECK(daemon.ask("POST", "/v1/batches/cellar/samples/999999?take_back=yes").status == 404);
  CHECK(daemon.ask("POST", "/v1/batches/cellar/samples/" + sample + "?gravity=1.2").status >= 400);
}

TEST_CASE("a batch that was packaged by mistake goes on as if it had not been") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon steady, daemon;
  const std::size_t half = rehearsal.messages.size() / 2;
  for (RunningDaemon* one : {&steady, &daemon}) {
    REQUIRE(one->watch->pitch("cellar", rehearsal.spec));
    deliver(*one, rehearsal, 0, half);
  }
  REQUIRE(daemon.watch->package(1, rehearsal.messages[half].delivered));
  for (RunningDaemon* one : {&steady, &daemon}) deliver(*one, rehearsal, half, half + 50);
  daemon.answer("POST", "/v1/batches/1/packaged?take_back=yes");
  for (RunningDaemon* one : {&steady, &daemon})
    deliver(*one, rehearsal, half + 50, rehearsal.messages.size());
  CHECK(open(daemon) == open(steady));
  CHECK(daemon.cellar->batches().at(0).view.gravity->value ==
        steady.cellar->batches().at(0).view.gravity->value);
  CHECK(daemon.trace().curve().size() == steady.trace().curve().size());
}

TEST_CASE("readings after a packaging that is entered late do not count") {
  const Rehearsal rehearsal = two_weeks();
  const std::size_t half = rehearsal.messages.size() / 2;
  const Time packaged = rehearsal.messages[half].delivered;
  RunningDaemon in_time, late;
  for (RunningDaemon* one : {&in_time, &late}) REQUIRE(one->watch->pitch("cellar", rehearsal.spec));
  deliver(in_time, rehearsal, 0, half + 1);
  deliver(late, rehearsal, 0, rehearsal.messages.size());
  REQUIRE(in_time.cellar->package(1, packaged));
  REQUIRE(late.cellar->package(1, packaged));
  const auto check_same = [&] {
    const BatchView view = late.cellar->batches().at(0).view;
    CHECK(view.gravity->value == in_time.cellar->batches().at(0).view.gravity->value);
    CHECK(view.time <= packaged);
    CHECK(late.trace().curve().size() == in_time.trace().curve().size());
    CHECK(late.trace().curve().back().time <= packaged);
    const auto readings = late.cellar->readings(1, 0, 1'000'000).value();
    CHECK(readings.size() == in_time.cellar->readings(1, 0, 1'000'000).value().size());
  };
  check_same();
  late.restart();
  check_same();
}

TEST_CASE("an impossible amendment is refused and changes nothing") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  deliver(daemon, rehearsal, 0, 100);
  BatchSpec spec = rehearsal.spec;
  spec.pitched += days(300);
  CHECK(daemon.cellar->amend(1, AmendedThing::description, 0, spec).error().code == Errc::out_of_range);
  spec = rehearsal.spec;
  spec.yeast.attenuation_low = 0.9;
  spec.yeast.attenuation_high = 0.5;
  CHECK_FALSE(daemon.cellar->amend(1, AmendedThing::description, 0, spec));
  CHECK(daemon.cellar->amend(1, AmendedThing::description, 0, rehearsal.spec).error().code == Errc::conflict);
  CHECK(daemon.cellar->amend(1, AmendedThing::packaged, 0, rehearsal.spec.pitched + days(1)).error().code ==
        Errc::conflict);
  CHECK(daemon.cellar->amend(7, AmendedThing::description, 0, spec).error().code == Errc::not_found);
  CHECK(daemon.cellar->amendments(1).value().empty());
}

TEST_CASE("a stop between the amendment and the re-evaluation loses nothing") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  BatchSpec mistaken = rehearsal.spec;
  mistaken.final_gravity.window = days(60);
  REQUIRE(daemon.watch->pitch("cellar", mistaken));
  deliver(daemon, rehearsal, 0, rehearsal.messages.size());
  REQUIRE_FALSE(stands(daemon, "final-gravity-stable"));
  // What is stored when the daemon is killed just after.
  REQUIRE(
      AmendmentLog(daemon.database)
          .amend(1, AmendedThing::description, 0,
                 description_text(rehearsal.spec.pitched, rehearsal.spec.name, format_batch(rehearsal.spec)),
                 daemon.clock.now()));
  daemon.restart();
  CHECK(stands(daemon, "final-gravity-stable"));
  const auto said = reported(daemon);
  daemon.restart();
  CHECK(reported(daemon) == said);
}
