#include "reports/report_html.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <regex>

#include "reports/comparison_svg.h"
#include "reports/report_style.h"
#include "support/made_up_story.h"
#include "support/places.h"
#include "support/process.h"
#include "support/python.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

const Time kNow = parse_rfc3339("2026-04-01T12:00:00Z").value();

// tests/support/read_report.py finds nothing wrong with it, and `text` in it.
bool reads(const std::string& html, const std::string& text = "") {
  const test::TempDir dir;
  std::ofstream(dir / "report.html", std::ios::binary) << html;
  std::vector<std::string> command{test::python(), gyle::test::source_dir() + "/tests/support/read_report.py",
                                   (dir / "report.html").string()};
  if (!text.empty()) command.push_back(text);
  test::Process reader(command, dir / "log");
  if (reader.wait() == 0) return true;
  std::ifstream log(dir / "log");
  UNSCOPED_INFO(std::string(std::istreambuf_iterator<char>(log), {}));
  return false;
}

std::string report(const BatchStory& story, const DisplaySettings& display = {}) {
  return report_html(std::span(&story, 1), display, kNow, "1.2.3");
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

// WCAG 2.2, relative luminance and contrast ratio.
double luminance(const std::string& hex) {
  const auto channel = [&](std::size_t at) {
    const double c = std::stoi(hex.substr(at, 2), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}
double contrast(const std::string& a, const std::string& b) {
  const double one = luminance(a), other = luminance(b);
  return (std::max(one, other) + 0.05) / (std::min(one, other) + 0.05);
}

}  // namespace

TEST_CASE("a report is one document without scripts that covers the whole batch") {
  const std::string html = report(test::made_up_story());
  CHECK(reads(html, "Amber no. 12"));
  CHECK(html.size() < 200000);
  for (const char* what : {"Original gravity",
                           "1.0480",
                           "Final gravity",
                           "1.0120",
                           "Alcohol by volume",
                           "4.8 %",
                           "Carbon dioxide",
                           "0.84 volumes",
                           "At packaging",
                           "4.6 to 4.8 %",
                           "3.7 %",
                           "kcal in 100 mL",
                           "Measured by hand",
                           "1.0125",
                           "Packaged",
                           "gravity readings counted",
                           "Evidence: ",
                           "The plan",
                           "Hold",
                           "1.2.3",
                           "silent"}) {
    CAPTURE(what);
    CHECK(holds(html, what));
  }
  CHECK_FALSE(holds(html, "nan"));
}

TEST_CASE("an original gravity that was given is shown as it was given, not as it was inferred") {
  BatchStory story = test::made_up_story();
  story.spec.original_gravity = SpecificGravity::unchecked(1.050);
  story.view.original_gravity = 1.0496;
  const std::string given = report(story);
  CHECK(holds(given, "1.0500<small>as given"));
  CHECK_FALSE(holds(given, "1.0496"));
  story.spec.original_gravity.reset();
  CHECK(holds(report(story), "1.0496<small>inferred from the readings"));
}

TEST_CASE("several batches come with one more picture and a table") {
  std::vector<BatchStory> stories;
  for (const char* name : {"Amber one", "Amber two", "Amber <three>"})
    stories.push_back(test::made_up_story(name));
  const std::string html = report_html(stories, {}, kNow, "1.2.3");
  CHECK(reads(html, "Amber <three>"));
  CHECK(holds(html, "3 batches compared"));
  CHECK(holds(html, "days since the pitch"));
}

// Ways out of text that the OWASP cheat sheet on XSS prevention guards against, and what else a field may
// hold.
TEST_CASE("text of people is never markup, wherever it appears") {
  const std::string hostile =
      GENERATE("</title><script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "'-alert(1)-'",
               "</style><svg onload=alert(1)>", "<!--", "]]>", "&lt;script&gt;", "javascript:alert(1)",
               "{{7*7}}", "</svg><a href='//x'>y</a>");
  CAPTURE(hostile);
  std::vector<BatchStory> stories{test::made_up_story(hostile), test::made_up_story(hostile)};
  CHECK(reads(report(stories[0]), hostile));
  CHECK(reads(report_html(stories, {}, kNow, "1"), hostile));
}

TEST_CASE("bytes that are not text do no harm") {
  CHECK(reads(report(test::made_up_story(std::string("a\0b\xff\x1b[2J\xed\xa0\x80", 12)))));
}

TEST_CASE("a batch without readings has a report too") {
  BatchStory story;
  story.spec.name = "New";
  story.spec.pitched = kNow - hours(1);
  story.view.time = kNow;
  const std::string html = report(story);
  CHECK(reads(html, "No gravity reading yet."));
  CHECK_FALSE(holds(html, "Alcohol by volume"));
  CHECK_FALSE(holds(html, "volumes</dd>"));
  CHECK_FALSE(holds(html, "At packaging"));
}

TEST_CASE("values that are not numbers are not shown") {
  BatchStory story = test::made_up_story();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  story.curve[5].temperature = Celsius{nan};
  story.curve[6].gravity = {nan, nan, nan};
  story.alerts[0].decision.evidence = {{"gravity_sg", nan}};
  const std::string html = report(story);
  CHECK(reads(html));
  CHECK_FALSE(holds(html, "nan"));
}

TEST_CASE("units and cautions are the brewer's own") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.volume = DisplaySettings::Volume::us_gallons;
  BatchStory story = test::made_up_story();
  std::string html = report(story, display);
  CHECK(holds(html, "°P"));
  CHECK(holds(html, "64.4 °F"));
  CHECK(holds(html, "5.28 gal"));
  CHECK_FALSE(holds(html, "packaged before"));
  story.view.final_gravity_since.reset();
  CHECK(holds(report(story), "packaged before its final gravity was found stable"));
  story.packaged.reset();
  CHECK(holds(report(story), "too early to package"));
}

TEST_CASE("the figures of a story are those of its curve") {
  const BatchStory story = test::made_up_story();
  const StoryFigures figures = figures_of(story);
  // 1.048 to 1.012 in tests/reference/abv_examples.csv.
  CHECK(figures.alcohol->volume_balling == Approx(0.04781).margin(0.00005).epsilon(0));
  CHECK(figures.alcohol_volume->low < figures.alcohol->volume_balling);
  CHECK(figures.alcohol_volume->high > figures.alcohol->volume_balling);
  // 21 degC since the window began, in tests/reference/co2_residual.csv.
  CHECK(*figures.warmest_celsius == 21);
  CHECK(*figures.residual_co2 == Approx(0.837).margin(0.001).epsilon(0));
  CHECK(figures.beer->low == 18);
  CHECK(figures.beer->high == 21);
  CHECK(figures.beer->value == Approx((18 * 79.5 + 21 * 160.25) / 239.75).margin(0.02));
  CHECK(*figures.within_range == Approx(1));
  CHECK(figures.longest_gap == minutes(15));
}

TEST_CASE("a warm day before the beer stopped does not drive its gas out") {
  BatchStory story = test::made_up_story();
  const auto warm_day = [&](std::size_t from, double celsius) {
    for (std::size_t i = from; i < from + 96; ++i) story.beer[i].value = celsius;
  };
  warm_day(100, 29);
  CHECK(*figures_of(story).warmest_celsius == 21);
  warm_day(800, 24);
  CHECK(*figures_of(story).warmest_celsius == 24);
}

TEST_CASE("text stands out from its paper by WCAG's measure, light and dark") {
  const std::string style(report_style());
  const std::regex palette(":root \\{([^}]*)\\}");
  int palettes = 0;
  for (std::sregex_iterator i(style.begin(), style.end(), palette), end; i != end; ++i) {
    std::map<std::string, std::string> colours;
    const std::string body = (*i)[1];
    const std::regex pair("--([a-z]+): (#[0-9a-f]{6})");
    for (std::sregex_iterator j(body.begin(), body.end(), pair); j != end; ++j) colours[(*j)[1]] = (*j)[2];
    if (colours.count("paper") == 0) continue;  // for paper there are shorthands
    ++palettes;
    for (const char* ink : {"ink", "soft", "link"}) CHECK(contrast(colours[ink], colours["paper"]) >= 7);
    CHECK(contrast(colours["care"], colours["caring"]) >= 7);
  }
  CHECK(palettes == 2);
}

TEST_CASE(
    "compared batches begin at their pitches, or when they started to ferment, however far these lie apart") {
  BatchStory first = test::made_up_story("First");
  BatchStory second = test::made_up_story("Second", kNow);
  const std::vector<ComparedBatch> compared{{"First", first.spec.pitched, first.curve},
                                            {"Second", second.spec.pitched, second.curve}};
  const std::string svg = comparison_svg(compared, {});
  const std::string before = "stroke-width=\"2.5\" d=\"";
  std::vector<std::string> drawn;
  for (auto at = svg.find(before); at != std::string::npos; at = svg.find(before, at + 1)) {
    const auto begin = at + before.size();
    const std::string path = svg.substr(begin, svg.find('"', begin) - begin);
    if (path.size() > 200 && path.front() == 'M') drawn.push_back(path);
  }
  REQUIRE(drawn.size() == 2);
  CHECK(drawn[0] == drawn[1]);
  CHECK(svg.size() < 60000);
  CHECK_FALSE(holds(svg, "nan"));

  // A day of lag more before the same course: alike from their starts, not from their pitches.
  const auto shifted = [&](Alignment align) {
    std::vector<CurvePoint> later = first.curve;
    for (CurvePoint& point : later) point.time += days(1);
    const Time start = first.spec.pitched + hours(10);
    const std::vector<ComparedBatch> two{{"First", first.spec.pitched, first.curve, start},
                                         {"Second", first.spec.pitched, later, start + days(1)}};
    return comparison_svg(two, {}, align);
  };
  const auto paths = [&](const std::string& picture) {
    std::vector<std::string> all;
    for (auto at = picture.find(before); at != std::string::npos; at = picture.find(before, at + 1)) {
      const auto begin = at + before.size();
      const std::string path = picture.substr(begin, picture.find('"', begin) - begin);
      if (path.size() > 200 && path.front() == 'M') all.push_back(path);
    }
    return all;
  };
  const auto from_start = paths(shifted(Alignment::start)), from_pitch = paths(shifted(Alignment::pitch));
  REQUIRE(from_start.size() == 2);
  REQUIRE(from_pitch.size() == 2);
  CHECK(from_start[0] == from_start[1]);
  CHECK(from_pitch[0] != from_pitch[1]);
  CHECK(holds(shifted(Alignment::start), "each from when it started to ferment"));
}

TEST_CASE("a comparison draws solid lines, and the forecast of a batch in its vessel dashed") {
  const Time pitched = kNow;
  std::vector<CurvePoint> curve;
  for (int i = 0; i < 48; ++i) {
    const double gravity = 1.048 - 0.0005 * i;
    curve.push_back({pitched + hours(i),
                     gravity,
                     {gravity, gravity - 0.0005, gravity + 0.0005},
                     Celsius{18.0},
                     0.1,
                     Stage::active});
  }
  Forecast forecast{};
  const Time last = curve.back().time;
  forecast.final_gravity = Interval{1.012, 1.010, 1.014};
  forecast.final_time = TimeInterval{last + hours(72), last + hours(48), last + hours(120)};
  const std::vector<ComparedBatch> one{{"Amber no. 12", pitched, curve, {}, {}}};
  const std::vector<ComparedBatch> two{{"Amber no. 12", pitched, curve, {}, forecast}};
  CHECK(comparison_svg(one, {}).find("stroke-dasharray") == std::string::npos);
  CHECK(comparison_svg(two, {}).find("stroke-dasharray") != std::string::npos);
}
