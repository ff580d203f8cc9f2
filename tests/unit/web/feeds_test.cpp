#include <catch2/catch.hpp>
#include <cstdlib>
#include <limits>

#include "../control/fake_cellar.h"
#include "support/read_by.h"
#include "web/calendar.h"
#include "web/metrics.h"

using namespace gyle;
using test::read_by;

namespace {

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

std::string line_with(const std::string& text, const std::string& what) {
  const auto at = text.find(what);
  if (at == std::string::npos) return "";
  const auto begin = text.rfind('\n', at) + 1;
  return text.substr(begin, text.find('\n', at) - begin);
}

// A cellar whose batches and alerts are the test's.
struct MadeUpCellar : test::FakeCellar {
  std::vector<BatchRecord> in = test::FakeCellar::batches();
  std::vector<ReportedAlert> said;
  std::vector<BatchRecord> batches() const override { return in; }
  Result<std::vector<ReportedAlert>> alerts(std::int64_t) const override { return said; }
  BatchRecord& open() { return in[1]; }
};

const Time kMade = parse_rfc3339("2026-03-03T12:00:00Z").value();

Time at(const char* text) { return parse_rfc3339(text).value(); }

MadeUpCellar forecasting() {
  MadeUpCellar cellar;
  cellar.filled.clear();
  Forecast& forecast = cellar.open().view.forecast;
  forecast.time = kMade;
  forecast.step = 1;
  forecast.step_time =
      TimeInterval{at("2026-03-04T20:07:00Z"), at("2026-03-04T08:00:00Z"), at("2026-03-05T12:00:00Z")};
  forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
  forecast.final_time =
      TimeInterval{at("2026-03-08T10:00:00Z"), at("2026-03-07T10:00:00Z"), at("2026-03-10T10:00:00Z")};
  return cellar;
}

}  // namespace

TEST_CASE("the calendar has the forecasts with their intervals") {
  MadeUpCellar cellar = forecasting();
  DisplaySettings display;
  display.time_zone = "Europe/Berlin";
  const std::string read = read_by("read_calendar.py", calendar_text(cellar, display));
  const std::string hold = line_with(read, "-hold-1|");
  CHECK(holds(hold,
              "TENTATIVE|2490|2026-03-04T20:00:00+00:00|"));  // minutes from the pitch; to the quarter hour
  CHECK(holds(hold, "Next: 22 °C"));
  CHECK(holds(hold, "between Wed 4 Mar 09:00 and Thu 5 Mar 13:00"));
  const std::string end = line_with(read, "-final-gravity|");
  CHECK(holds(end, "2026-03-08T10:00:00+00:00"));
  CHECK(holds(end, "1.0115, in 8 of 10 cases between 1.0102 and 1.0131"));
  // 1773360000 is 2026-03-13T00:00:00Z, which is the 13th in Berlin too.
  CHECK(holds(line_with(read, "-packaging|"), "|2026-03-13|"));
  CHECK(std::count(read.begin(), read.end(), '\n') == 3);  // nothing of packaged and unreadable batches
}

TEST_CASE("the calendar says when packaged beer should have its gas") {
  MadeUpCellar cellar = forecasting();
  cellar.filled = {
      {4, {at("2026-02-20T10:00:00Z"), Container::bottles, 20, 0.5, GasSource::priming, Celsius{20}}},
      {5, {at("2026-02-20T10:00:00Z"), Container::bottles, 4, 0.5, GasSource::priming, Celsius{5}}}};
  const std::string read = read_by("read_calendar.py", calendar_text(cellar, {}));
  const std::string filled = line_with(read, "-carbonated-4|");
  CHECK(holds(filled, "|2026-03-06|"));
  CHECK(holds(filled, "20 bottles of 500 mL"));
  CHECK(holds(filled, "Chill one bottle then"));
  CHECK(line_with(read, "-carbonated-5|").empty());  // too cold to say
}

TEST_CASE("the first day to package is the brewer's, not that of UTC") {
  MadeUpCellar cellar = forecasting();
  DisplaySettings display;
  display.time_zone = "America/Los_Angeles";
  CHECK(holds(line_with(read_by("read_calendar.py", calendar_text(cellar, display)), "-packaging|"),
              "|2026-03-12|"));
  display.time_zone = "Pacific/Kiritimati";
  CHECK(holds(line_with(read_by("read_calendar.py", calendar_text(cellar, display)), "-packaging|"),
              "|2026-03-13|"));
}

TEST_CASE("a forecast that moves keeps its UID and has a higher SEQUENCE") {
  MadeUpCellar cellar = forecasting();
  const std::string before =
      line_with(read_by("read_calendar.py", calendar_text(cellar, {})), "-final-gravity|");
  cellar.open().view.forecast.time = kMade + hours(6);
  cellar.open().view.forecast.final_time->value += days(1);
  const std::string after =
      line_with(read_by("read_calendar.py", calendar_text(cellar, {})), "-final-gravity|");
  CHECK(before.substr(0, before.find('|')) == after.substr(0, after.find('|')));
  CHECK(holds(before, "|2490|"));
  CHECK(holds(after, "|2850|"));
  CHECK(calendar_text(cellar, {}) == calendar_text(cellar, {}));
}

TEST_CASE("what waits for the brewer is in the calendar until it is done") {
  MadeUpCellar cellar;
  Decision decision;
  decision.time = kMade;
  decision.kind = AlertKind::step_due;
  decision.step = 1;
  cellar.said = {{decision, "Raise it to 22 °C now.", {12, false, {}, {}}}};
  const std::string read = read_by("read_calendar.py", calendar_text(cellar, {}));
  CHECK(holds(line_with(read, "step-due-1-1|"), "CONFIRMED|2490|2026-03-03T12:00:00+00:00|"));
  CHECK(holds(read, "Raise it to 22 °C now."));
  cellar.open().view.holds_over = 2;  // the next one is over too
  CHECK_FALSE(holds(read_by("read_calendar.py", calendar_text(cellar, {})), "step-due"));
  cellar.open().view.holds_over = 1;
  cellar.said[0].mark.acknowledged = kMade;
  CHECK_FALSE(holds(read_by("read_calendar.py", calendar_text(cellar, {})), "step-due"));
}

// Section 3.1 of RFC 5545 (folding) and 3.3.11 (TEXT): read back by another program as they were.
TEST_CASE("names survive escaping and folding") {
  const std::string name =
      GENERATE(as<std::string>(), "a,b;c\\d:e\"f", std::string(300, 'x'),
               "Weißbier Grüß Gott, größte Bräu ümläuts äöü €€€€€€€€€€€€€€€€€€€€€€€€€€€€€€€€€€€",
               "日本語の名前日本語の名前日本語の名前日本語の名前日本語の名前日本語の名前");
  MadeUpCellar cellar = forecasting();
  cellar.open().spec.name = name;
  CHECK(holds(read_by("read_calendar.py", calendar_text(cellar, {})),
              "|" + name + ": final gravity, expected|"));
}

TEST_CASE("a name cannot add a line to the calendar") {
  MadeUpCellar cellar = forecasting();
  cellar.open().spec.name = "x\r\nEND:VEVENT\nBEGIN:VEVENT\x01\xff";
  cellar.open().vessel = cellar.open().spec.name;
  const std::string read = read_by("read_calendar.py", calendar_text(cellar, {}));
  CHECK(std::count(read.begin(), read.end(), '\n') == 3);
}

TEST_CASE("times that no calendar has are left out") {
  MadeUpCellar cellar = forecasting();
  cellar.open().view.forecast.final_time = TimeInterval{Time::max(), Time::min(), Time::max()};
  cellar.open().view.forecast.step_time =
      TimeInterval{Time(seconds(-5)), Time(seconds(-6)), Time(seconds(-4))};
  const std::string read = read_by("read_calendar.py", calendar_text(cellar, {}));
  CHECK_FALSE(holds(read, "-hold-1|"));
  CHECK_FALSE(holds(read, "-final-gravity|"));
}

TEST_CASE("an independent parser reads the metrics, and finds every value") {
  MadeUpCellar cellar = forecasting();
  const std::string read = read_by("read_metrics.py", metrics_text(cellar));
  for (const char* wanted :
       {"gylekeeper_readings_total{} 5000000000", "gylekeeper_refusals_total{reason='not_json'} 12",
        "gylekeeper_alerts_waiting{channel='phone',kind='webhook'} 2",
        "gylekeeper_alerts_refused{channel='phone',kind='webhook'} 1", "gylekeeper_batches{stage='active'} 1",
        "gylekeeper_batches{stage='stuck'} 0", "number='7',vessel='left'} 1.0302",
        "gylekeeper_batch_specific_gravity_low{", "} 1.0298", "gylekeeper_batch_final_timestamp_seconds{",
        "gylekeeper_batch_final_low_timestamp_seconds{",
        "gylekeeper_sensor_heard_timestamp_seconds{sensor='hydrometer',vessel='left'}",
        "process_cpu_seconds_total{}", "process_open_fds{}", "gylekeeper_build_info{version='"}) {
    CAPTURE(wanted, read);
    CHECK(holds(read, wanted));
  }
  CHECK_FALSE(holds(read, "number='3'"));  // packaged
}

TEST_CASE("names in labels are read back as they were, whatever is in them") {
  MadeUpCellar cellar = forecasting();
  cellar.open().spec.name = "a\"b\\c{d}=e,f # EOF";
  cellar.open().view.sensors.push_back(cellar.open().view.sensors.front());  // the same again
  const std::string read = read_by("read_metrics.py", metrics_text(cellar));
  CHECK(holds(read, "batch='a\"b\\\\c{d}=e,f # EOF'"));
  cellar.open().spec.name = "x\ny\xff\x01";
  CHECK(holds(read_by("read_metrics.py", metrics_text(cellar)), "batch='x?y\?\?'"));
}

// getrusage and the file system know the same of this process.
TEST_CASE("the figures of the process are its own") {
  const ProcessFigures figures = process_figures();
  CHECK(*figures.resident_bytes > 1e6);
  CHECK(*figures.virtual_bytes >= *figures.resident_bytes);
  CHECK(*figures.cpu >= Duration(0));
  CHECK(*figures.most_fds >= *figures.open_fds);
  const std::ifstream one("/proc/self/stat"), other("/proc/self/stat");
  CHECK(*process_figures().open_fds == *figures.open_fds + 2);
  CHECK(std::chrono::abs(*figures.started - std::chrono::system_clock::now()) < minutes(10));
}
