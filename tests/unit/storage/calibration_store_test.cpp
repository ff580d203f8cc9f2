#include "storage/calibration_store.h"

#include <sqlite3.h>

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/judging_log.h"
#include "storage/watch_log.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

// Through odd numbers, so that a digit lost would be seen.
InclinationFit fit(double top) {
  const std::vector<CalibrationPoint> points{{25.137, SpecificGravity::unchecked(1.0003)},
                                             {33.713, SpecificGravity::unchecked(1.0211)},
                                             {47.919, SpecificGravity::unchecked(1.0497)},
                                             {61.771, SpecificGravity::unchecked(top)}};
  return fit_inclination(points).value();
}

}  // namespace

TEST_CASE("a calibration comes back to the last bit, and the newest of each sensor counts") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  CalibrationStore store(db);
  const InclinationFit first = fit(1.0702);
  const InclinationFit second = fit(1.0711);
  REQUIRE(store.add("hydrometer-1", at(1), first));
  REQUIRE(store.add("hydrometer-1", at(2), second));
  REQUIRE(store.add("hydrometer-2", at(3), first));
  Database again = open(dir / "journal.db");
  CalibrationStore kept(again);
  const auto curves = kept.in_force().value();
  REQUIRE(curves.size() == 2);
  CHECK(curves.at("hydrometer-1").polynomial.coefficients == second.curve.polynomial.coefficients);
  CHECK(curves.at("hydrometer-2").polynomial.coefficients == first.curve.polynomial.coefficients);
  const auto all = kept.of("hydrometer-1").value();
  REQUIRE(all.size() == 2);
  CHECK(all[0].made == at(2));
  CHECK(all[1].made == at(1));
  REQUIRE(all[1].fit.has_value());
  CHECK(all[1].fit->curve.least_inclination == first.curve.least_inclination);
  CHECK(all[1].fit->curve.most_inclination == first.curve.most_inclination);
  REQUIRE(all[1].fit->points.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(all[1].fit->points[i].inclination == first.points[i].inclination);
    CHECK(all[1].fit->points[i].gravity == first.points[i].gravity);
  }
  CHECK(kept.of("hydrometer-3").value().empty());
}

TEST_CASE("a calibration can be ended, and the earlier ones are kept") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  CalibrationStore store(db);
  REQUIRE(store.add("hydrometer-1", at(1), fit(1.0702)));
  REQUIRE(store.add("hydrometer-1", at(2), {}));
  CHECK(store.in_force().value().empty());
  const auto all = store.of("hydrometer-1").value();
  REQUIRE(all.size() == 2);
  CHECK_FALSE(all[0].fit.has_value());
  CHECK(all[1].fit.has_value());
}

TEST_CASE("a packaged batch keeps the calibrations of its packaging") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  CalibrationStore store(db);
  BatchStore batches(db);
  const auto bare = batches.pitch({"left", "bare", at(0), ""}).value();
  const auto judged = batches.pitch({"right", "judged", at(0), ""}).value();
  REQUIRE(batches.package(bare, at(1)));
  REQUIRE(store.add("hydrometer-1", at(2), fit(1.0702)));
  REQUIRE(batches.package(judged, at(3)));
  REQUIRE(store.add("hydrometer-1", at(4), fit(1.0711)));
  const auto later = batches.pitch({"left", "later", at(5), ""}).value();
  const auto top = [&](std::int64_t batch) {
    const auto stored = batches.find(std::to_string(batch)).value();
    const auto curves = store.in_force(stored.last_calibration).value();
    return curves.empty() ? 0 : curves.at("hydrometer-1").gravity(61.771)->value();
  };
  CHECK(top(bare) == 0);
  CHECK(top(judged) == fit(1.0702).curve.gravity(61.771)->value());
  CHECK(top(later) == fit(1.0711).curve.gravity(61.771)->value());
  // Back in its vessel the newest counts again.
  sqlite3* other = nullptr;
  REQUIRE(sqlite3_open((dir / "journal.db").c_str(), &other) == SQLITE_OK);
  REQUIRE(sqlite3_exec(other, "UPDATE batch SET packaged_ms = NULL WHERE name = 'judged'", nullptr, nullptr,
                       nullptr) == SQLITE_OK);
  sqlite3_close(other);
  CHECK(top(judged) == fit(1.0711).curve.gravity(61.771)->value());
}

TEST_CASE("the open batches that use or have used the sensor are to be re-evaluated") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  BatchStore batches(db);
  WatchLog log(db);
  const auto gone = batches.pitch({"left", "gone", at(0), ""}).value();
  REQUIRE(log.assign(gone, {"hydrometer-1"}, 0));
  REQUIRE(batches.package(gone, at(1)));
  const auto uses = batches.pitch({"left", "uses", at(2), ""}).value();
  REQUIRE(log.assign(uses, {"hydrometer-1", "probe-1"}, 0));
  const auto did = batches.pitch({"right", "did", at(2), ""}).value();
  REQUIRE(log.assign(did, {"hydrometer-1"}, 0));
  REQUIRE(log.assign(did, {"hydrometer-2"}, 10));
  const auto other = batches.pitch({"attic", "other", at(2), ""}).value();
  REQUIRE(log.assign(other, {"hydrometer-2"}, 0));
  REQUIRE(CalibrationStore(db).add("hydrometer-1", at(3), fit(1.0702)));
  JudgingLog judging(db);
  CHECK_FALSE(judging.due(gone).value());
  CHECK(judging.due(uses).value());
  CHECK(judging.due(did).value());
  CHECK_FALSE(judging.due(other).value());
}

TEST_CASE("a calibration that could not be stored is not there, nor any of its points") {
  const TempDir dir;
  FailingDisk disk;
  Database db = open(dir / "journal.db");
  CalibrationStore store(db);
  REQUIRE(store.add("hydrometer-1", at(1), fit(1.0702)));
  FailingDisk::fail_from(1, SQLITE_FULL);
  CHECK(store.add("hydrometer-1", at(2), fit(1.0711)).error().code == Errc::storage);
  FailingDisk::heal();
  CHECK(store.of("hydrometer-1").value().size() == 1);
  CHECK(store.add("hydrometer-1", at(2), fit(1.0711)));
  CHECK(store.of("hydrometer-1").value().size() == 2);
}
