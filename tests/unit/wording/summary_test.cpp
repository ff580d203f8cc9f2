#include "wording/summary.h"

#include <catch2/catch.hpp>
#include <sstream>

#include "base/rfc3339.h"
#include "wording/alert_title.h"
#include "wording/fitted_text.h"

using namespace gyle;

namespace {

constexpr auto kRaised = Decision::State::raised;
constexpr auto kWithdrawn = Decision::State::withdrawn;

Time at(const char* text) { return parse_rfc3339(text).value(); }

FoldedAlert alert(const char* time, const char* kind, Decision::State state, const char* text,
                  const char* sensor = "") {
  return {at(time), kind, state, "left", "Amber no. 12", sensor, 0, text};
}

DisplaySettings vienna() {
  DisplaySettings display;
  display.time_zone = "Europe/Vienna";
  return display;
}

std::size_t line_count(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1;
}

}  // namespace

TEST_CASE("a night goes into one message, in order, each thing once") {
  const std::vector<FoldedAlert> night{
      alert("2026-03-05T04:00:00Z", "step-due", kRaised,
            "Amber no. 12 has been ready: warm it. Within a day."),
      alert("2026-03-05T01:10:00Z", "temperature-out-of-range", kRaised,
            "Amber no. 12 has been too warm. Cool it."),
      alert("2026-03-05T02:40:00Z", "temperature-out-of-range", kWithdrawn,
            "Amber no. 12 is fine. Nothing to do."),
      alert("2026-03-05T05:00:00Z", "stuck", kWithdrawn, "Amber no. 12 is no longer stuck: 1.019. Leave it."),
  };
  const Summary summary = summary_of(night, FoldReason::quiet_hours, at("2026-03-04T21:00:00Z"),
                                     at("2026-03-05T06:00:00Z"), vienna());
  CHECK(summary.title == "3 alerts from your quiet hours");
  CHECK(summary.text ==
        "During your quiet hours:\n"
        "02:10 to 03:40, came and went: Amber no. 12 has been too warm.\n"
        "05:00: Amber no. 12 has been ready: warm it.\n"
        "06:00: Amber no. 12 is no longer stuck: 1.019.");
}

TEST_CASE("an alert that came and went several times shows how often, and is open when it was raised last") {
  const auto silent = [](const char* time, Decision::State state, const char* sensor) {
    return alert(time, "sensor-silent", state, state == kRaised ? "Nothing heard." : "Heard again.", sensor);
  };
  std::vector<FoldedAlert> alerts{silent("2026-03-05T01:00:00Z", kRaised, "hydrometer-1"),
                                  silent("2026-03-05T02:00:00Z", kWithdrawn, "hydrometer-1"),
                                  silent("2026-03-05T03:00:00Z", kRaised, "hydrometer-1"),
                                  silent("2026-03-05T04:00:00Z", kWithdrawn, "hydrometer-1")};
  const auto text = [&] {
    return summary_of(alerts, FoldReason::at_once, at("2026-03-05T00:00:00Z"), at("2026-03-05T06:00:00Z"), {})
        .text;
  };
  CHECK(text() ==
        "Several things, 00:00 to 06:00:\n"
        "01:00 to 04:00, came and went 2 times: Nothing heard.");
  alerts.push_back(silent("2026-03-05T05:00:00Z", kRaised, "hydrometer-1"));
  CHECK(text().find("\n05:00: Nothing heard.") != std::string::npos);
  alerts.push_back(silent("2026-03-05T05:30:00Z", kRaised, "hydrometer-2"));
  CHECK(line_count(text()) == 3);
}

TEST_CASE("more than a day is shown with its dates") {
  const std::vector<FoldedAlert> week{alert("2026-03-01T04:00:00Z", "stuck", kRaised, "Stuck. Warm it.")};
  const Summary summary =
      summary_of(week, FoldReason::sent_late, at("2026-03-01T03:00:00Z"), at("2026-03-08T03:00:00Z"), {});
  CHECK(summary.title == "1 alert sent late");
  CHECK(summary.text == "These could not be sent before, since Sun 1 Mar 03:00:\nSun 1 Mar 04:00: Stuck.");
}

TEST_CASE("of too many, open alerts are kept before those that are over, and newer before older") {
  std::vector<FoldedAlert> many{alert("2026-03-01T00:30:00Z", "stuck", kRaised, "Stuck. Warm it.")};
  for (int i = 0; i < 31; ++i) {
    FoldedAlert silent = alert("2026-03-01T01:00:00Z", "sensor-silent", kRaised, "Nothing heard. Look.");
    silent.sensor = "hydrometer-" + std::to_string(i);
    silent.time += minutes(10) * i;
    many.push_back(silent);
    silent.state = kWithdrawn;
    silent.time += minutes(1);
    many.push_back(silent);
  }
  const Summary summary =
      summary_of(many, FoldReason::quiet_hours, at("2026-03-01T00:00:00Z"), at("2026-03-01T08:00:00Z"), {});
  CHECK(summary.title == "32 alerts from your quiet hours");
  CHECK(line_count(summary.text) == 1 + kSummaryLines + 1);
  CHECK(summary.text.find("\n00:30: Stuck.\n") != std::string::npos);
  CHECK(summary.text.find("\n06:00 to 06:01, came and went") != std::string::npos);
  CHECK(summary.text.substr(summary.text.rfind('\n')) == "\nand 12 more, the oldest of Sun 1 Mar 01:01.");
}

TEST_CASE("a summary of nothing is only a heading") {
  const Summary summary =
      summary_of({}, FoldReason::quiet_hours, at("2026-03-01T00:00:00Z"), at("2026-03-01T08:00:00Z"), {});
  CHECK(summary.text == "During your quiet hours:");
}

TEST_CASE("a reminder shows since when, with the date when a weekday would mislead") {
  const Time raised = at("2026-03-03T17:10:00Z");
  CHECK(reminder_sentence("Warm it.", raised, raised + days(2), vienna()) ==
        "Still so, since Tuesday 18:10: Warm it.");
  CHECK(reminder_sentence("Warm it.", raised, raised + days(9), vienna()) ==
        "Still so, since Tue 3 Mar 18:10: Warm it.");
  CHECK(reminder_title("Amber no. 12: stuck") == "Reminder: Amber no. 12: stuck");
}
