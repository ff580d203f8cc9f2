#include "reports/curve_svg.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <regex>

#include "base/rfc3339.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

const Time kPitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

// A logistic fall from 1.048 to 1.012, a point each quarter of an hour.
std::vector<CurvePoint> curve(int points) {
  std::vector<CurvePoint> made;
  for (int i = 0; i < points; ++i) {
    const double h = 0.25 * (i + 1);
    const double gravity = 1.012 + 0.036 / (1 + std::exp(0.09 * (h - 50)));
    made.push_back({kPitched + from_hours(h),
                    gravity + 0.0006 * std::sin(i * 2.4),
                    {gravity, gravity - 0.0007, gravity + 0.0007},
                    Celsius{18 + 0.2 * std::sin(h)},
                    0.5,
                    h < 20 ? Stage::lag : Stage::active});
  }
  return made;
}

BatchSpec amber(const std::string& name = "Amber no. 12") {
  BatchSpec batch;
  batch.name = name;
  batch.pitched = kPitched;
  batch.original_gravity = SpecificGravity::unchecked(1.048);
  batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
  return batch;
}

Forecast ahead(const std::vector<CurvePoint>& points) {
  const Time last = points.back().time;
  Forecast forecast{points.back().time, {}, {}, {}, {}};
  forecast.final_gravity = Interval{1.0121, 1.0111, 1.0133};
  forecast.final_time = TimeInterval{last + days(2), last + days(1), last + days(4)};
  forecast.step = 1;
  forecast.step_time = TimeInterval{last + hours(11), last + hours(6), last + hours(25)};
  return forecast;
}

std::vector<CurveMark> marks() {
  return {{kPitched + hours(20), AlertKind::fermentation_started, Decision::State::raised, {}},
          {kPitched + hours(21), AlertKind::sensor_silent, Decision::State::raised, {}},
          {kPitched + hours(55), AlertKind::step_due, Decision::State::raised, 1}};
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto i = text.find(what); i != std::string::npos; i = text.find(what, i + 1)) ++n;
  return n;
}

// The coordinates of every path, as pairs of what follows M and L (H and V: the other is repeated).
std::vector<std::pair<double, double>> coordinates(const std::string& svg) {
  std::vector<std::pair<double, double>> found;
  static const std::regex kPoint("[ML](-?[0-9.]+) (-?[0-9.]+)");
  for (std::sregex_iterator i(svg.begin(), svg.end(), kPoint), end; i != end; ++i) {
    found.emplace_back(std::stod((*i)[1]), std::stod((*i)[2]));
  }
  return found;
}

// Of the curve itself, whose stroke is the widest.
std::vector<std::pair<double, double>> estimate(const std::string& svg) {
  static const std::regex kCurve("stroke-width=\"2.5\" d=\"([^\"]*)\"");
  std::smatch match;
  return std::regex_search(svg, match, kCurve) ? coordinates(match[1])
                                               : std::vector<std::pair<double, double>>{};
}

// Python's expat reads it as XML, finds an svg element in its name space, and nothing that could act or load.
bool well_formed(const std::string& svg) {
  const test::TempDir dir;
  const auto file = dir.path() / "curve.svg";
  std::ofstream(file, std::ios::binary) << svg;
  const std::string script =
      "import sys,xml.etree.ElementTree as t\n"
      "r=t.parse(sys.argv[1]).getroot()\n"
      "n='{http://www.w3.org/2000/svg}'\n"
      "ok={'svg','title','desc','rect','path','circle','text','g'}\n"
      "assert r.tag==n+'svg'\n"
      "for e in r.iter():\n"
      "  assert e.tag.startswith(n) and e.tag[len(n):] in ok,e.tag\n"
      "  assert not any(a.startswith('on') or 'href' in a or 'url' in v for a,v in e.attrib.items())\n";
  const auto program = dir.path() / "read.py";
  std::ofstream(program) << script;
  return std::system(("python3 '" + program.string() + "' '" + file.string() + "'").c_str()) == 0;
}

}  // namespace

TEST_CASE("the picture is well-formed, small and passive, whatever the length of the batch") {
  const int points = GENERATE(0, 1, 2, 50, 1000, 20000);
  const auto data = curve(points);
  DisplaySettings display;
  display.time_zone = "Europe/Vienna";
  if (points % 100 != 0) display.gravity = DisplaySettings::Gravity::plato;
  const Forecast forecast = data.empty() ? Forecast{} : ahead(data);
  const std::string svg = curve_svg(amber(), data, forecast, marks(), display);
  CAPTURE(points);
  CHECK(svg.size() <= 60000);
  CHECK(well_formed(svg));
  CHECK(svg.find("<title>Amber no. 12</title>") != std::string::npos);
  CHECK(svg.find("<desc>") != std::string::npos);
  CHECK(svg.find("nan") == std::string::npos);
  for (const auto& [x, y] : coordinates(svg)) {
    CHECK((x >= 0 && x <= 600));
    CHECK((y >= 0 && y <= 400));
  }
  CHECK(count(svg, "h0") <= 500 + 4);  // the readings, and the legend's
}

TEST_CASE("the curve is where the data are") {
  const auto data = curve(400);
  const std::string svg = curve_svg(amber(), data, {}, {}, {});
  // The axis of gravity is labelled with its ends: read the scale off the labels, as a person does.
  static const std::regex kLabel("<path d=\"M58 ([0-9.]+)H588\" [^>]*><text [^>]*>(1\\.[0-9]+)</text>");
  std::vector<std::pair<double, double>> labels;
  for (std::sregex_iterator i(svg.begin(), svg.end(), kLabel), end; i != end; ++i) {
    labels.emplace_back(std::stod((*i)[1]), std::stod((*i)[2]));
  }
  REQUIRE(labels.size() >= 3);
  const auto [y0, g0] = labels.front();
  const auto [y1, g1] = labels.back();
  const auto read = [&, low = y0, sg = g0, high = y1, top = g1](double y) {
    return sg + (y - low) / (high - low) * (top - sg);
  };
  const auto drawn = estimate(svg);
  REQUIRE(drawn.size() > 100);
  const double first_x = drawn.front().first, last_x = drawn.back().first;
  CHECK(first_x < 80);
  CHECK(last_x > 560);
  CHECK(read(drawn.back().second) == Approx(data.back().gravity.value).margin(0.0001));
  for (const auto& [x, y] : drawn) {
    const double h = 0.25 + (x - first_x) / (last_x - first_x) * (100 - 0.25);
    CAPTURE(x, y, h);
    CHECK(read(y) == Approx(1.012 + 0.036 / (1 + std::exp(0.09 * (h - 50)))).margin(0.0007));
  }
}

TEST_CASE("an extreme reading of a long batch is not thinned away") {
  auto data = curve(8000);
  data[5000].gravity_raw = 1.030;
  const std::string calm = curve_svg(amber(), curve(8000), {}, {}, {});
  const std::string svg = curve_svg(amber(), data, {}, {}, {});
  static const std::regex kReading("M([0-9.]+) ([0-9.]+)h0");
  const auto highest = [](const std::string& picture) {
    double least = 400;
    for (std::sregex_iterator i(picture.begin(), picture.end(), kReading), end; i != end; ++i) {
      if (std::stod((*i)[1]) > 300) least = std::min(least, std::stod((*i)[2]));
    }
    return least;
  };
  CHECK(highest(svg) < highest(calm) - 40);
}

TEST_CASE("names are text, whatever bytes they hold") {
  const std::string name = GENERATE(as<std::string>(), "<script>alert(1)</script>", "a & b",
                                    "\"quoted\" 'twice'", "]]>", "</title>", "&#0;", "\xff\xfe\x01\x1b[31m",
                                    "\u9ea6\u9152", "\xEF\xBF\xBF", "<!--", "<![CDATA[");
  const auto data = curve(50);
  const std::string svg = curve_svg(amber(name), data, ahead(data), marks(), {});
  CAPTURE(name);
  CHECK(well_formed(svg));
  CHECK(svg.find("<script") == std::string::npos);
}

TEST_CASE("a name that is too long is cut in the picture and whole in its title") {
  const std::string name(500, 'w');
  const std::string svg = curve_svg(amber(name), curve(50), {}, {}, {});
  CHECK(svg.find("<title>" + name + "</title>") != std::string::npos);
  CHECK(svg.find(">" + std::string(35, 'w') + "…</text>") != std::string::npos);
}

TEST_CASE("units and time zone are the brewer's") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.time_zone = "America/New_York";
  const auto data = curve(400);
  const std::string svg = curve_svg(amber(), data, ahead(data), marks(), display);
  CHECK(svg.find("Gravity, °P") != std::string::npos);
  CHECK(svg.find("Beer, °F") != std::string::npos);
  CHECK(svg.find(">New York time<") != std::string::npos);
  CHECK(svg.find("°C") == std::string::npos);
  CHECK(svg.find("1.01") == std::string::npos);
  CHECK(svg.find("1.04") == std::string::npos);
}

TEST_CASE("marks are named, those of sensors are not drawn") {
  const auto data = curve(400);
  const std::string svg = curve_svg(amber(), data, {}, marks(), {});
  CHECK(count(svg, ">started<") == 1);
  CHECK(count(svg, ">hold 1 over<") == 1);
  CHECK(svg.find("silent") == std::string::npos);
  CHECK(svg.find("Mon 2 Mar 14:30: started.") != std::string::npos);  // in the description
  std::vector<CurveMark> many(3000, marks()[0]);
  CHECK(curve_svg(amber(), data, {}, many, {}).size() <= 60000);
}

TEST_CASE("the forecast ends at the final gravity, or is not drawn") {
  const auto data = curve(200);
  CHECK(curve_svg(amber(), data, ahead(data), {}, {}).find("forecast") != std::string::npos);
  CHECK(curve_svg(amber(), data, {}, {}, {}).find("forecast") == std::string::npos);
  Forecast past = ahead(data);
  past.final_time = TimeInterval{Time(seconds(1)), Time(seconds(0)), Time(seconds(2))};
  CHECK(curve_svg(amber(), data, past, {}, {}).find("forecast") == std::string::npos);
}

TEST_CASE("values that are not numbers are left out") {
  auto data = curve(100);
  data[3].gravity = {kNan, kNan, kNan};
  data[4].gravity.high = std::numeric_limits<double>::infinity();
  data[5].gravity_raw = kNan;
  data[6].temperature = Celsius{kNan};
  Forecast forecast = ahead(data);
  forecast.final_time = TimeInterval{Time::max(), Time::min(), Time::max()};
  forecast.step_time = TimeInterval{Time::min(), Time::min(), Time::min()};
  for (const double gravity : {1.0121, kNan, 1e300}) {
    forecast.final_gravity = Interval{gravity, gravity, gravity};
    const std::string svg = curve_svg(amber(), data, forecast, marks(), {});
    CHECK(svg.find("nan") == std::string::npos);
    CHECK(svg.find("inf") == std::string::npos);
    CHECK(well_formed(svg));
  }
}

TEST_CASE("days begin at local midnight across a change of the clocks") {
  auto data = curve(96 * 5);
  const Time before = parse_rfc3339("2026-03-27T12:00:00Z").value();
  for (std::size_t i = 0; i < data.size(); ++i) data[i].time = before + minutes(15) * static_cast<int>(i);
  BatchSpec batch = amber();
  batch.pitched = before;
  DisplaySettings display;
  display.time_zone = "Europe/Vienna";  // on 29 March 2026 it puts its clocks forward
  const std::string svg = curve_svg(batch, data, {}, {}, display);
  for (const char* day : {">Sat 28 Mar<", ">Sun 29 Mar<", ">Mon 30 Mar<", ">Tue 31 Mar<"}) {
    CAPTURE(day);
    CHECK(count(svg, day) == 1);
  }
}

TEST_CASE("hand samples and the ambient temperature of each day are drawn beside the curve") {
  const auto data = curve(400);
  const Time from = data.front().time, to = data.back().time;
  std::vector<UsedReading> samples{
      {from + (to - from) / 2, Quantity::sample, data[data.size() / 2].gravity.value},
      {from + (to - from) / 2, Quantity::sample, std::nan("")},
      {to + days(400), Quantity::sample, 1.02}};
  std::vector<UsedReading> ambient;
  for (Time t = from; t < to; t += hours(1)) ambient.push_back({t, Quantity::ambient_temperature, 18.0});
  const std::string svg = curve_svg(amber(), data, ahead(data), {}, {}, {samples, ambient});
  const auto count = [&svg](const std::string& what) {
    std::size_t found = 0;
    for (std::size_t at = 0; (at = svg.find(what, at)) != std::string::npos; ++at) ++found;
    return found;
  };
  CHECK(count("class=\"sample\"") == 1);
  CHECK(count("class=\"ambient\"") >= 1);
  CHECK(count("ambient, by the day") == 1);
  CHECK(curve_svg(amber(), data, ahead(data), {}, {}).find("class=") == std::string::npos);
}
