#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <limits>

#include "base/rfc3339.h"
#include "reports/curve_csv.h"
#include "reports/exported_csv.h"
#include "support/python.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

const Time kTime = parse_rfc3339("2026-03-05T06:30:00Z").value();

// Python's csv reads it strictly and finds what `check` (of `rows`) says.
bool reads(const std::string& csv, const std::string& check) {
  const test::TempDir dir;
  std::ofstream(dir / "x.csv", std::ios::binary) << csv;
  std::ofstream(dir / "read.py")
      << "import csv,sys\n"
         "rows=list(csv.reader(open(sys.argv[1],newline='',encoding='utf-8'),strict=True))\n"
         "assert len({len(r) for r in rows})==1,rows\n"
      << "assert " << check << ",rows\n";
  const std::string command =
      test::python() + " '" + (dir / "read.py").string() + "' '" + (dir / "x.csv").string() + "'";
  return std::system(command.c_str()) == 0;
}

}  // namespace

TEST_CASE("alerts come as CSV that another program reads, and no text of theirs is a formula") {
  Decision decision;
  decision.time = kTime;
  decision.kind = AlertKind::step_due;
  decision.step = 1;
  decision.sensor = "=cmd|' /C calc'!A0";
  decision.evidence = {
      {"gravity_sg", 1.0205}, {"bad", std::numeric_limits<double>::infinity()}, {"due_time", 1772389800}};
  const std::string csv = alerts_csv_header() + alerts_csv_row(decision, "Raise it, \"now\".\nTo 22 °C.");
  CHECK(reads(csv,
              "rows[1]==['2026-03-05T06:30:00Z','step-due','notice','raised','1',\"'=cmd|' /C calc'!A0\","
              "'Raise it, \"now\".\\nTo 22 °C.','gravity_sg=1.0205; due_time=1772389800']"));
}

TEST_CASE("raw readings come as CSV with the unit of each") {
  const std::string csv =
      journal_csv_header() +
      journal_csv_row(12, kTime,
                      {kTime - minutes(1), "+hydrometer", Quantity::gravity, 1.04815, TimeQuality::stamped}) +
      journal_csv_row(13, kTime, {kTime, "probe", Quantity::beer_temperature, -0.5, TimeQuality::arrival}) +
      journal_csv_row(14, kTime, {kTime, "hydrometer", Quantity::inclination, 45, TimeQuality::backlog}) +
      journal_csv_row(15, kTime, {kTime, "hydrometer", Quantity::battery, 3.9, TimeQuality::backlog});
  CHECK(reads(
      csv,
      "rows[0]==['number','time_utc','received_utc','sensor','quantity','value','unit','time_quality'] and "
      "rows[1]==['12','2026-03-05T06:29:00Z','2026-03-05T06:30:00Z',\"'+hydrometer\",'gravity','1.04815','SG'"
      ",'"
      "stamped'] and "
      "rows[2][4:]==['beer_temperature','-0.5','Cel','arrival'] and "
      "[r[6] for r in rows[3:]]==['deg','V']"));
}

TEST_CASE("the header with units names the columns of the curve") {
  const CurvePoint point{kTime, 1.0302, {1.03, 1.0296, 1.0304}, Celsius{18.25}, 0.375, Stage::active};
  CHECK(reads(curve_csv_header_with_units() + curve_csv_row(point),
              "dict(zip(*rows))=={'time_utc':'2026-03-05T06:30:00Z','gravity_raw_sg':'1.03020','gravity_sg':'"
              "1.03000',"
              "'gravity_low_sg':'1.02960','gravity_high_sg':'1.03040','temperature_celsius':'18.25',"
              "'attenuation_fraction':'0.3750','stage':'active'}"));
}
