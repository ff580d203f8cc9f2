#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "reports/brew_sheet_calendar.h"
#include "reports/brew_sheet_html.h"
#include "support/read_by.h"

using namespace gyle;
using test::read_by;

namespace {

const Time kStart = parse_rfc3339("2026-03-07T08:00:00Z").value();
const Time kMade = parse_rfc3339("2026-03-01T12:00:00Z").value();

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

Recipe amber(const std::string& name = "Amber no. 12") {
  Recipe recipe;
  recipe.name = name;
  recipe.grain = {{"pale malt & friends", 4.5, 0.80}};
  recipe.hops = {{"Alder <hops>", "", 0.028, minutes(60)}, {"Birch hops", "", 0.02, minutes(5)}};
  recipe.kettle.volume_l = 38;
  return recipe;
}

struct Made {
  Recipe recipe;
  BrewPlan plan;
  DaySheet sheet;
};
Made made(const Recipe& recipe) {
  Made m{recipe, plan_brew(recipe).value(), {}};
  m.sheet = day_sheet(recipe, m.plan, {});
  return m;
}

std::string page(const Made& m, std::optional<Time> start) {
  return brew_sheet_html(m.recipe, m.plan, m.sheet, start, {}, "1.2.3");
}

}  // namespace

// tests/support/read_report.py: Python's HTML parser, and what a document of ours must not hold.
TEST_CASE("the sheet is one well-formed document, whatever names hold") {
  const Made m = made(amber(GENERATE(as<std::string>(), "Amber no. 12", "<script>alert(1)</script>\"'&")));
  const std::string html = page(m, kStart);
  read_by("read_report.py", html);
  CHECK_FALSE(holds(html, "<script>"));
  CHECK(holds(html, "Alder &lt;hops&gt;"));
  CHECK(holds(html, "pale malt &amp; friends"));
}

TEST_CASE("the sheet has every step with its time and its caution, and the numbers with their basis") {
  const Made m = made(amber());
  const std::string html = page(m, kStart);
  CHECK(holds(html, ">08:00</th>"));
  for (const DayStep& step : m.sheet.steps) CHECK(holds(html, step.what));
  CHECK(holds(html, "Scalds in a second"));
  CHECK(holds(html, "local rules and licensed trades come before this sheet"));
  for (const PlanFact& fact : plan_facts(m.recipe, m.plan, {})) {
    CAPTURE(fact.label);
    CHECK(holds(html, fact.value));
  }
  CHECK(holds(html, "5.5 L in an hour of boiling"));
  CHECK(holds(page(m, {}), ">+0:00</th>"));
}

// tests/support/read_calendar.py: python3-icalendar and RFC 5545.
TEST_CASE("the calendar has an event for every step, read by an independent parser") {
  const Made m = made(amber());
  const std::string text = brew_sheet_calendar(m.recipe, m.sheet, kStart, kMade);
  const std::string read = read_by("read_calendar.py", text);
  CHECK(static_cast<std::size_t>(std::count(read.begin(), read.end(), '\n')) == m.sheet.steps.size());
  CHECK(holds(read, "|2026-03-07T08:00:00+00:00|Heat the water (Amber no. 12)|"));
  CHECK(holds(read, "Care: Scalds in a second"));
  CHECK(holds(read, "Local rules come first."));
  std::size_t alarms = 0;
  for (std::size_t at = 0; (at = text.find("BEGIN:VALARM", at)) != std::string::npos; ++at) ++alarms;
  CHECK(alarms == m.sheet.steps.size());
}

TEST_CASE("a new sheet of the same day replaces the old one") {
  const Made m = made(amber());
  const auto uid = [&](Time start, Time when) {
    const std::string read = read_by("read_calendar.py", brew_sheet_calendar(m.recipe, m.sheet, start, when));
    return read.substr(0, read.find("|2026"));
  };
  const std::string before = uid(kStart, kMade);
  const std::string after = uid(kStart + hours(1), kMade + hours(1));
  CHECK(before.substr(0, before.find('|')) == after.substr(0, after.find('|')));
  CHECK(before != after);  // the sequence
  CHECK(uid(kStart + days(7), kMade).substr(0, before.find('|')) != before.substr(0, before.find('|')));
}

TEST_CASE("a name cannot add a line to the calendar of a day") {
  const Made m = made(amber("x\r\nEND:VEVENT\nBEGIN:VEVENT;,\\"));
  const std::string read = read_by("read_calendar.py", brew_sheet_calendar(m.recipe, m.sheet, kStart, kMade));
  CHECK(static_cast<std::size_t>(std::count(read.begin(), read.end(), '\n')) == m.sheet.steps.size());
}
