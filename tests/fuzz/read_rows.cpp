// Input: records, each "table.column=value" and separated by byte 0x1e, that are put into the rows of a small
// database of ours, as a failing disk or another program might. Whatever is there is read, or refused with a
// reason; what is read goes through the judgement, and how a batch ended reads back as it was written.
#include <cstdint>
#include <string_view>

#include "app/history.h"
#include "app/stored_decision.h"
#include "calibration/inclination_fit.h"
#include "config/batch_file.h"
#include "fermentation/tracker.h"
#include "fuzz_check.h"
#include "notices/evidence_json.h"
#include "reports/ending_json.h"
#include "storage/amendment_log.h"
#include "storage/batch_store.h"
#include "storage/calibration_store.h"
#include "storage/connection.h"
#include "storage/judging_log.h"
#include "storage/note_store.h"
#include "storage/outbox.h"
#include "storage/set_point_store.h"
#include "support/temp_dir.h"

namespace {

using namespace gyle;

constexpr const char* kBatch =
    "name = \"Amber no. 12\"\npitched = 2026-03-01T18:30:00Z\noriginal_gravity = "
    "1.048\n[yeast]\nattenuation "
    "= [0.73, 0.79]\ntemperature = [\"16 Cel\", \"22 Cel\"]\n";
constexpr std::int64_t kBatchId = 1;

Time at(int s) { return Time(seconds(1'772'389'800 + s)); }

struct Cellar {
  test::TempDir dir;
  Database database = std::move(Database::open(dir / "j.db").value());
  Journal journal{database};

  Cellar() {
    Decoded readings;
    for (int i = 0; i < 40; ++i) {
      readings.readings.push_back({at(900 * i), "hydrometer", Quantity::gravity, 1.048 - 0.0004 * i});
      readings.readings.push_back({at(900 * i), "hydrometer", Quantity::beer_temperature, 18.0});
    }
    readings.refusals.push_back({at(0), RefusalReason::out_of_range, "t", "hydrometer", "why", "1050"});
    Message message;
    message.received = at(0);
    done(journal.record(message, readings));
    BatchStore batches(database);
    done(batches.pitch({"left", "Amber no. 12", at(0), kBatch}, {"hydrometer"}));
    done(batches.pitch({"right", "Attic stout", at(0), kBatch}));
    done(batches.package(2, at(9000), 3, StoredEnding{0, ending_json({})}));
    WatchLog log(database);
    for (int i = 1; i < 20; ++i) done(log.ticked({2 * i, at(900 * i)}));
    Outbox outbox(database);
    const std::vector<std::string> channels{"log"};
    const Decision started{at(1), AlertKind::fermentation_started, Decision::State::raised, 1, {}, "", {}};
    done(outbox.record(alert_of(kBatchId, started, "It ferments.", "{\"gravity\": 1.04}"), channels));
    NewAlert lost;
    lost.kind = "broker-lost";
    lost.time = at(3);
    done(outbox.record(lost, channels));
    NoteStore notes(database);
    const auto note = notes.add(kBatchId, at(400), "Dry hops, 4 g.");
    done(note);
    done(AmendmentLog(database).amend(kBatchId, AmendedThing::note, note.value(),
                                      dated_text(at(400), "Dry hops, 40 g."), at(600)));
    const std::vector<CalibrationPoint> points{{25, SpecificGravity::unchecked(1.000)},
                                               {45, SpecificGravity::unchecked(1.040)}};
    done(CalibrationStore(database).add("other", at(500), fit_inclination(points).value()));
    SetPointStore set_points(database);
    done(set_points.confirm(kBatchId, {1, Celsius{22}}, at(700)));
    Continuity continuity;
    continuity.resumes_after = at(5);
    continuity.shifts[{AlertKind::stuck, "", 0}] = 1;
    done(JudgingLog(database).settle(kBatchId, continuity));
  }

  template <class R>
  static void done(const R& result) {
    FUZZ_CHECK(result.has_value());
  }
};

template <class R>
bool read(const R& result) {
  if (!result) FUZZ_CHECK(!result.error().message.empty());
  return result.has_value();
}

// Only tables and columns that exist are named; a rule of the table may still say no.
void put(SQLite::Database& db, std::string_view record) {
  const std::size_t dot = record.find('.');
  const std::size_t is = record.find('=');
  if (dot == std::string_view::npos || is == std::string_view::npos || is < dot) return;
  const std::string table(record.substr(0, dot));
  const std::string column(record.substr(dot + 1, is - dot - 1));
  SQLite::Statement known(db,
                          "SELECT 1 FROM sqlite_master m, pragma_table_info(m.name) c WHERE m.type = "
                          "'table' AND m.name = ? AND c.name = ?");
  known.bind(1, table);
  known.bind(2, column);
  if (!known.executeStep()) return;
  try {
    SQLite::Statement update(db, "UPDATE \"" + table + "\" SET \"" + column + "\" = ?");
    update.bind(1, std::string(record.substr(is + 1)));
    update.exec();
  } catch (const SQLite::Exception&) {  // a rule of the table
  }
}

void judge(Cellar& cellar, const StoredBatch& batch) {
  const auto spec = parse_batch(batch.spec, "batch");
  WatchLog log(cellar.database);
  const auto assignments = log.assignments(batch.id);
  const auto span = log.span(batch.id);
  const auto curves = CalibrationStore(cellar.database).in_force(batch.last_calibration);
  if (!read(assignments) || !read(span) || !read(curves) || !read(spec)) return;
  Tracker tracker(spec.value());
  read(read_history(cellar.journal, log, assignments.value(), span.value(), batch.pitched, curves.value(),
                    [&](const Event& event) { static_cast<void>(tracker.advance(event)); }));
  const std::string text = ending_json({tracker.view(), {}});
  const auto again = parse_ending(text);
  FUZZ_CHECK(again.has_value());
  FUZZ_CHECK(ending_json(again.value()) == text);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static Cellar cellar;
  SQLite::Database& db = cellar.database.connection().db;
  SQLite::Transaction changes(db);  // rolled back: the next input finds the database as it was made
  db.exec("PRAGMA defer_foreign_keys = ON");
  std::string_view rest(reinterpret_cast<const char*>(data), size);
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find('\x1e'), rest.size());
    put(db, rest.substr(0, end));
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }

  read(cellar.journal.newest_of_each());
  read(cellar.journal.counts());
  read(cellar.journal.recent_refusals(10));
  read(cellar.journal.sensors());
  BatchStore batches(cellar.database);
  Outbox outbox(cellar.database);
  const auto all = batches.all();
  if (read(all)) {
    for (const StoredBatch& batch : all.value()) {
      judge(cellar, batch);
      const auto ending = batches.ending(batch.id);
      if (read(ending) && ending.value()) {
        if (const auto parsed = parse_ending(ending.value()->text); read(parsed)) {
          FUZZ_CHECK(parse_ending(ending_json(parsed.value())).has_value());
        }
      }
      const auto alerts = outbox.alerts(batch.id);
      if (read(alerts)) {
        for (const StoredAlert& alert : alerts.value()) {
          const auto decision = stored_decision(alert);
          if (!read(decision)) continue;
          const std::string evidence = evidence_json(decision.value().evidence);
          FUZZ_CHECK(evidence_json(parse_evidence(evidence)) == evidence);
        }
      }
      read(NoteStore(cellar.database).of(batch.id));
      read(AmendmentLog(cellar.database).of(batch.id));
      read(JudgingLog(cellar.database).continuity(batch.id));
      read(SetPointStore(cellar.database).past(batch.id, batch.vessel));
    }
  }
  read(outbox.system_alerts(10));
  read(outbox.open());
  read(outbox.waiting("log"));
  read(outbox.channels());
  read(CalibrationStore(cellar.database).of("other"));
  return 0;
}
