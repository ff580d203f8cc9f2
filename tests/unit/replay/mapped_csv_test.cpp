#include "replay/mapped_csv.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

// An hour ahead of UTC, and put forward from 02:00 to 03:00 on 29 March 2026.
Result<Time> wall_clock(Duration shown) {
  const Time jump = parse_rfc3339("2026-03-29T02:00:00Z").value();
  if (Time(shown) < jump) return Time(shown) - hours(1);
  if (Time(shown) < jump + hours(1)) return fail(Errc::out_of_range, "there is no such time");
  return Time(shown) - hours(2);
}

CsvMapping plain() {
  CsvMapping mapping;
  mapping.time_column = "Date";
  mapping.gravity_column = "SG";
  mapping.temperature_column = "Temp";
  return mapping;
}

Result<MappedReadings> read(const std::string& text, const CsvMapping& mapping = plain()) {
  return read_mapped_csv("old.csv", text, mapping, "import:x", wall_clock);
}

std::string shown(const Reading& reading) {
  return format_rfc3339(reading.time) + " " + name(reading.quantity) + " " + std::to_string(reading.value);
}

}  // namespace

TEST_CASE("columns become readings in order of time, whatever order the file has") {
  // A byte order mark, CRLF, a quoted name, a quoted field over two lines, spaces, an empty line at the end.
  const auto read_back = read(
      "\xef\xbb\xbf\"Date\",Remark, sg ,TEMP\r\n"
      "2026-03-02 19:30,\"late, and\r\nlong\",1.030,18.5\r\n"
      "2026-03-01 19:30,\"said \"\"so\"\"\",1.048,\r\n\r\n");
  REQUIRE(read_back);
  const MappedReadings& all = read_back.value();
  CHECK(all.rows == 2);
  CHECK(all.used == 2);
  CHECK(all.refused_rows.empty());
  REQUIRE(all.readings.size() == 3);
  CHECK(shown(all.readings[0]) == "2026-03-01T18:30:00Z gravity 1.048000");
  CHECK(shown(all.readings[1]) == "2026-03-02T18:30:00Z gravity 1.030000");
  CHECK(shown(all.readings[2]) == "2026-03-02T18:30:00Z beer_temperature 18.500000");
  CHECK(all.readings[0].sensor == "import:x");
  CHECK(all.readings[0].time_quality == TimeQuality::stamped);
}

TEST_CASE("separator, degrees Plato and Fahrenheit follow the mapping") {
  CsvMapping mapping = plain();
  mapping.separator = ';';
  mapping.gravity_in_plato = true;
  mapping.fahrenheit = true;
  mapping.ambient_column = "Raum";
  mapping.time_format = "%d.%m.%Y %H:%M";
  const auto all = read("Date;SG;Temp;Raum\n1.3.2026 19:30;12,0;64,4;50\n", mapping);
  REQUIRE(all);
  // 12 degrees Plato are 1.04838 (tests/reference/plato_sg.csv); 64.4 F are 18 degC, 50 F are 10.
  CHECK(all.value().readings[0].value == Approx(1.04838).margin(2e-5));
  CHECK(all.value().readings[1].value == Approx(18));
  CHECK(all.value().readings[2].value == Approx(10));
  CHECK(all.value().readings[2].quantity == Quantity::ambient_temperature);
}

TEST_CASE("decimals follow a point or a comma") {
  const auto quoted = read("Date,SG,Temp\n2026-03-01 19:30,\"1,012\",\"18,5\"\n");
  REQUIRE(quoted);
  CHECK(quoted.value().readings.at(0).value == 1.012);
  CHECK(quoted.value().readings.at(1).value == 18.5);
  CsvMapping mapping = plain();
  mapping.separator = ';';
  const auto separated =
      read("Date;SG;Temp\n2026-03-01 19:30;1,012;18.5\n2026-03-01 19:31;1.012,5;18.5\n", mapping);
  REQUIRE(separated);
  CHECK(separated.value().readings.at(0).value == 1.012);
  CHECK(separated.value().refused_rows.size() == 1);
}

TEST_CASE("a file in Latin-1 is read and reported as such") {
  CsvMapping mapping = plain();
  mapping.gravity_column = "W\xc3\xbcrze";
  mapping.temperature_column =
      "\xc2\xb0"
      "C";
  const auto all = read(
      "Date,W\xfcrze,\xb0"
      "C\n2026-03-01 19:30,1.048,18\n",
      mapping);
  REQUIRE(all);
  CHECK(all.value().latin1);
  CHECK(all.value().readings.size() == 2);
  const auto utf8 = read(
      "Date,W\xc3\xbcrze,\xc2\xb0"
      "C\n2026-03-01 19:30,1.048,18\n",
      mapping);
  REQUIRE(utf8);
  CHECK_FALSE(utf8.value().latin1);
}

TEST_CASE("a row that cannot be used is reported with its line, and the others are used") {
  const auto read_back = read(
      "Date,SG,Temp\n"
      "2026-03-01 19:30,1.048,18\n"
      "2026-03-01 20:30,,18\n"
      "2026-03-01 21:30,1048,18\n"
      "2026-03-01 22:30,1.047,not measured\n"
      "sometime,1.046,18\n"
      "2026-03-29 02:30,1.020,18\n"
      "2026-03-29 03:30,1.020,85\n"
      "2026-03-30 03:30,1.019\n"
      "2026-03-31 03:30\n"
      "2026-04-01 03:30,1.018,18,more\n");
  REQUIRE(read_back);
  const MappedReadings& all = read_back.value();
  CHECK(all.rows == 10);
  CHECK(all.used == 5);
  REQUIRE(all.refused_rows.size() == 5);
  CHECK(all.refused_rows[0].line == 3);
  CHECK_THAT(all.refused_rows[0].why, Contains("empty"));
  CHECK(all.refused_rows[1].line == 4);
  CHECK_THAT(all.refused_rows[1].why, Contains("1.048"));  // kg/m3, it seems
  CHECK(all.refused_rows[2].line == 6);
  CHECK(all.refused_rows[3].line == 7);
  CHECK_THAT(all.refused_rows[3].why, Contains("no such time"));
  CHECK(all.refused_rows[4].line == 10);
  REQUIRE(all.refused_temperatures.size() == 2);
  CHECK(all.refused_temperatures[0].line == 5);
  CHECK_THAT(all.refused_temperatures[0].why, Contains("'not measured' is no temperature"));
  CHECK(all.refused_temperatures[1].line == 8);
  CHECK_THAT(all.refused_temperatures[1].why, Contains("85 °C"));
  // 85 degC is what a probe says before it has measured.
  CHECK(std::count_if(all.readings.begin(), all.readings.end(),
                      [](const Reading& r) { return r.quantity == Quantity::beer_temperature; }) == 2);
}

TEST_CASE("no temperature that looks like Fahrenheit is dropped without a word") {
  // From none to all of ten rows; a beer at 68 degF is 20 degC.
  const int fahrenheit = GENERATE(range(0, 11));
  CAPTURE(fahrenheit);
  std::string text = "Date,SG,Temp\n";
  for (int i = 0; i < 10; ++i) {
    text += "2026-03-01 1" + std::to_string(i) + ":30,1.048," + (i < fahrenheit ? "68.4" : "20.2") + "\n";
  }
  const auto all = read(text);
  if (fahrenheit > 5) {
    REQUIRE_FALSE(all);
    CHECK_THAT(all.error().message, Contains(std::to_string(fahrenheit) + " of 10 temperatures") &&
                                        Contains("the first being 68.4") &&
                                        Contains("add --temperature-unit F"));
    return;
  }
  REQUIRE(all);
  CHECK(all.value().used == 10);
  const auto used = std::count_if(all.value().readings.begin(), all.value().readings.end(),
                                  [](const Reading& r) { return r.quantity == Quantity::beer_temperature; });
  const auto& refused = all.value().refused_temperatures;
  REQUIRE(static_cast<int>(refused.size()) == fahrenheit);
  CHECK(used == 10 - fahrenheit);
  for (std::size_t i = 0; i < refused.size(); ++i) {
    CHECK(refused[i].line == i + 2);
    CHECK_THAT(refused[i].why, Contains("68.4"));
  }
}

TEST_CASE("a file that does not fit the mapping is refused, with its line") {
  struct Row {
    const char* text;
    const char* says;
  };
  const auto row = GENERATE(values<Row>(
      {{"", "old.csv:1: the file is empty"},
       {"Date,SG,Temp\n", "old.csv:1: there is nothing below"},
       {"Date,Gravity,Temp\n2026-03-01 19:30,1.048,18\n",
        "old.csv:1: there is no column \"SG\"; there is \"Date\", \"Gravity\", \"Temp\""},
       {"Date;SG;Temp\n", "is the separator another one?"},
       {"Date,SG,sg,Temp\n", "old.csv:1: there are two columns \"SG\""},
       {"Date,SG,Temp\n2026-03-01,1.048,18\n", "old.csv:2: no row can be used: '2026-03-01' is no time"},
       {"Date,SG,Temp\n2026-03-01 19:30,1.048,18\n2026-03-01 19:31,12,18\n2026-03-01 19:32,12,18\n",
        "old.csv:3: 2 of 3 rows cannot be used"},
       {"Date,SG,Temp\n2026-03-01 19:30,12,18\n", "--gravity-unit P"},
       {"Date,SG,Temp\n2026-03-01 19:30,1048,18\n", "old.csv:2: no row can be used: "},
       {"Date,SG,Temp\n2026-03-01 19:30,1.048,64.4\n2026-03-01 20:30,1.048,\n2026-03-01 21:30,1.047,50\n",
        "old.csv:2: 2 of 2 temperatures cannot be degrees Celsius, the first being 64.4; if they are "
        "Fahrenheit, add "
        "--temperature-unit F"},
       {"\xff\xfe"
        "D",
        "old.csv:1: the file is UTF-16"},
       {"Date,SG,Temp\n2026-03-01 19:30,1.0\"48,18\n", "old.csv:2: a quote inside"},
       {"Date,SG,Temp\n2026-03-01 19:30,\"1.048,18\n", "old.csv:2: the file ends inside a quoted field"}}));
  CAPTURE(row.text);
  const auto all = read(row.text);
  REQUIRE_FALSE(all);
  CHECK(all.error().code == Errc::malformed);
  CHECK_THAT(all.error().message, Contains(row.says));
}
