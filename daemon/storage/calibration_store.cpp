#include "storage/calibration_store.h"

#include <limits>

#include "storage/connection.h"
#include "storage/judging_due.h"

namespace gyle {
namespace {

// Columns c0 to most_inclination, the first of which is number `column`.
CalibrationCurve read_curve(SQLite::Statement& row, int column) {
  CalibrationCurve curve{};
  for (double& c : curve.polynomial.coefficients) c = row.getColumn(column++).getDouble();
  curve.least_inclination = row.getColumn(column++).getDouble();
  curve.most_inclination = row.getColumn(column).getDouble();
  return curve;
}

std::vector<CalibrationPoint> read_points(SQLite::Database& db, std::int64_t calibration) {
  SQLite::Statement rows(
      db, "SELECT inclination, gravity FROM calibration_point WHERE calibration = ? ORDER BY rowid");
  rows.bind(1, calibration);
  std::vector<CalibrationPoint> points;
  while (rows.executeStep()) {
    points.push_back(
        {rows.getColumn(0).getDouble(), SpecificGravity::unchecked(rows.getColumn(1).getDouble())});
  }
  return points;
}

}  // namespace

Result<std::int64_t> CalibrationStore::add(const std::string& sensor, Time made,
                                           const std::optional<InclinationFit>& fit) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the calibration", [&]() -> Result<std::int64_t> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement insert(
        db,
        "INSERT INTO calibration(sensor, made_ms, c0, c1, c2, c3, least_inclination, most_inclination) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    int column = 0;
    insert.bind(++column, sensor);
    insert.bind(++column, storage::to_ms(made));
    if (fit) {
      for (const double c : fit->curve.polynomial.coefficients) insert.bind(++column, c);
      insert.bind(++column, fit->curve.least_inclination);
      insert.bind(++column, fit->curve.most_inclination);
    }
    insert.exec();
    const std::int64_t id = db.getLastInsertRowid();
    if (fit) {
      SQLite::Statement point(
          db, "INSERT INTO calibration_point(calibration, inclination, gravity) VALUES (?, ?, ?)");
      for (const CalibrationPoint& one : fit->points) {
        point.bind(1, id);
        point.bind(2, one.inclination);
        point.bind(3, one.gravity.value());
        point.exec();
        point.reset();
      }
    }
    SQLite::Statement affected(db,
                               "SELECT DISTINCT b.id FROM batch b JOIN assignment a ON a.batch = b.id "
                               "WHERE b.packaged_ms IS NULL AND a.sensor = ?");
    affected.bind(1, sensor);
    while (affected.executeStep()) storage::mark_judging_due(db, affected.getColumn(0).getInt64());
    transaction.commit();
    return id;
  });
}

Result<std::vector<StoredCalibration>> CalibrationStore::of(const std::string& sensor) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("read the calibrations", [&]() -> Result<std::vector<StoredCalibration>> {
    SQLite::Statement rows(
        db,
        "SELECT id, made_ms, c0, c1, c2, c3, least_inclination, most_inclination FROM calibration "
        "WHERE sensor = ? ORDER BY id DESC");
    rows.bind(1, sensor);
    std::vector<StoredCalibration> all;
    while (rows.executeStep()) {
      StoredCalibration& one = all.emplace_back();
      one.id = rows.getColumn(0).getInt64();
      one.made = storage::from_ms(rows.getColumn(1).getInt64());
      if (!rows.isColumnNull(2)) one.fit = InclinationFit{read_curve(rows, 2), read_points(db, one.id)};
    }
    return all;
  });
}

Result<CalibrationCurves> CalibrationStore::in_force(std::optional<std::int64_t> up_to) {
  return storage::guarded("read the calibrations", [&]() -> Result<CalibrationCurves> {
    SQLite::Statement rows(
        database_->connection().db,
        "SELECT sensor, c0, c1, c2, c3, least_inclination, most_inclination FROM calibration "
        "WHERE id IN (SELECT max(id) FROM calibration WHERE id <= ? GROUP BY sensor)");
    rows.bind(1, up_to.value_or(std::numeric_limits<std::int64_t>::max()));
    CalibrationCurves curves;
    while (rows.executeStep()) {
      if (!rows.isColumnNull(1)) curves.emplace(rows.getColumn(0).getString(), read_curve(rows, 1));
    }
    return curves;
  });
}

}  // namespace gyle
