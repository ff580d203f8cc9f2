#include "storage/amendment_log.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/journal.h"
#include "storage/judging_log.h"
#include "storage/note_store.h"
#include "storage/watch_log.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

// A batch in its vessel with one hand sample and one note.
struct Amended {
  TempDir dir;
  Database db = open(dir / "journal.db");
  BatchStore batches{db};
  WatchLog watch{db};
  Journal journal{db};
  AmendmentLog amendments{db};
  std::int64_t batch = batches.pitch({"left", "Amber no. 12", at(0), "name = 'a'"}).value();
  std::int64_t sample = 0;
  std::int64_t note = NoteStore(db).add(batch, at(50), "Dry hops, 40 g.").value();

  Amended() {
    REQUIRE(watch.assign(batch, {"hand:left"}, 0));
    Message message;
    message.received = at(100);
    const auto rows = journal.record(message, {{{at(90), "hand:left", Quantity::sample, 1.021}}, {}}).value();
    sample = rows.at(0).id;
  }
  std::vector<Reading> samples() {
    std::vector<Reading> found;
    RowQuery query;
    query.sensors = {"hand:left"};
    REQUIRE(journal.rows(query, [&](const JournalRow& row) { found.push_back(row.reading); }));
    return found;
  }
  Result<StoredAmendment> amend(AmendedThing thing, std::int64_t row, const std::string& after) {
    return amendments.amend(batch, thing, row, after, at(1000));
  }
};

}  // namespace

TEST_CASE("a corrected sample counts with its new value, and the correction can be undone") {
  Amended a;
  const auto made = a.amend(AmendedThing::sample, a.sample, dated_text(at(80), "1.012"));
  REQUIRE(made);
  CHECK(made.value().before == dated_text(at(90), "1.021"));
  CHECK(JudgingLog(a.db).due(a.batch).value());
  REQUIRE(a.samples().size() == 1);
  CHECK(a.samples()[0].value == 1.012);
  CHECK(a.samples()[0].time == at(80));

  REQUIRE(a.amend(AmendedThing::sample, a.sample, ""));  // taken back
  CHECK(a.samples().empty());
  REQUIRE(a.amendments.undo(a.batch, 0, at(1001)));
  REQUIRE(a.samples().size() == 1);
  CHECK(a.samples()[0].value == 1.012);
  REQUIRE(a.amendments.undo(a.batch, 0, at(1002)));
  CHECK(a.samples()[0].value == 1.021);
  CHECK(a.amendments.undo(a.batch, 0, at(1003)).error().code == Errc::not_found);

  const auto all = a.amendments.of(a.batch).value();
  REQUIRE(all.size() == 4);
  CHECK((all[0].undone && all[1].undone && !all[2].undone));
  CHECK(all[2].undoes == all[1].id);
  // An undoing can be undone like any other.
  REQUIRE(a.amendments.undo(a.batch, all[3].id, at(1004)));
  CHECK(a.samples()[0].value == 1.012);
}

TEST_CASE("an amendment is not undone while a later one of the same thing holds") {
  Amended a;
  const auto first = a.amend(AmendedThing::sample, a.sample, dated_text(at(90), "1.020")).value();
  REQUIRE(a.amend(AmendedThing::sample, a.sample, dated_text(at(90), "1.019")));
  CHECK(a.amendments.undo(a.batch, first.id, at(1001)).error().code == Errc::conflict);
  CHECK(a.samples()[0].value == 1.019);
}

TEST_CASE("a description is corrected together with its name and pitch") {
  Amended a;
  REQUIRE(a.amend(AmendedThing::description, 0,
                  description_text(at(-500), "Dark no. 13", "name = 'b'\nx = 1\n")));
  const StoredBatch now = a.batches.all().value().at(0);
  CHECK(now.name == "Dark no. 13");
  CHECK(now.pitched == at(-500));
  CHECK(now.spec == "name = 'b'\nx = 1\n");
  REQUIRE(a.amendments.undo(a.batch, 0, at(1001)));
  CHECK(a.batches.all().value().at(0).spec == "name = 'a'");
  CHECK(a.batches.all().value().at(0).pitched == at(0));

  REQUIRE(a.batches.pitch({"right", "Orchard pale", at(0), ""}));
  const auto taken =
      a.amend(AmendedThing::description, 0, description_text(at(0), "Orchard pale", "name = 'c'"));
  CHECK(taken.error().code == Errc::conflict);
  CHECK(a.batches.all().value().at(0).name == "Amber no. 12");
}

TEST_CASE("a note is corrected, deleted and restored, and the batch is not re-evaluated") {
  Amended a;
  NoteStore notes(a.db);
  REQUIRE(a.amend(AmendedThing::note, a.note, dated_text(at(60), "Dry hops, 60 g.")));
  CHECK(notes.of(a.batch).value().at(0).text == "Dry hops, 60 g.");
  REQUIRE(a.amend(AmendedThing::note, a.note, ""));
  CHECK(notes.of(a.batch).value().empty());
  REQUIRE(a.amendments.undo(a.batch, 0, at(1001)));
  const auto kept = notes.of(a.batch).value();
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].id == a.note);
  CHECK(kept[0].time == at(60));
  CHECK_FALSE(JudgingLog(a.db).due(a.batch).value());

  const auto second = notes.add(a.batch, at(70), "Another.").value();
  CHECK(a.amend(AmendedThing::note, second, dated_text(at(60), "Dry hops, 60 g.")).error().code ==
        Errc::conflict);
  CHECK(notes.of(a.batch).value().size() == 2);
}

TEST_CASE("a batch that was packaged by mistake is back in its vessel and uses all readings since") {
  Amended a;
  REQUIRE(a.watch.assign(a.batch, {"hand:left", "hydrometer"}, 1));
  REQUIRE(a.batches.package(a.batch, at(500)));
  REQUIRE(a.watch.assign(a.batch, {}, 7));
  REQUIRE(a.amend(AmendedThing::packaged, 0, ""));
  CHECK_FALSE(a.batches.all().value().at(0).packaged);
  const auto used = a.watch.assignments(a.batch).value();
  REQUIRE(used.size() == 2);
  for (const Assignment& one : used) CHECK(one.covers(1000));
  REQUIRE(a.amendments.undo(a.batch, 0, at(1001)));
  CHECK(a.batches.all().value().at(0).packaged == at(500));

  REQUIRE(a.batches.pitch({"left", "Orchard pale", at(600), ""}));
  CHECK(a.amend(AmendedThing::packaged, 0, "").error().code == Errc::conflict);
  CHECK(a.batches.open().value().size() == 1);
}

TEST_CASE("an amendment of a missing thing, without a change or malformed is refused") {
  Amended a;
  CHECK(a.amend(AmendedThing::sample, a.sample, dated_text(at(90), "1.021")).error().code == Errc::conflict);
  CHECK(a.amend(AmendedThing::sample, a.sample + 1, "").error().code == Errc::not_found);
  CHECK(a.amend(AmendedThing::note, a.note + 1, "").error().code == Errc::not_found);
  CHECK(a.amend(AmendedThing::sample, a.sample, "yesterday 1.020").error().code == Errc::malformed);
  CHECK(a.amend(AmendedThing::sample, a.sample, dated_text(at(90), "low")).error().code == Errc::malformed);
  CHECK(a.amendments.amend(99, AmendedThing::packaged, 0, "", at(0)).error().code == Errc::not_found);
  CHECK(a.amendments.of(a.batch).value().empty());
  CHECK(a.samples()[0].value == 1.021);
}

TEST_CASE("an amendment that could not be stored has not happened") {
  const TempDir dir;
  FailingDisk disk;
  Database db = open(dir / "journal.db");
  const auto batch = BatchStore(db).pitch({"left", "a", at(0), "name = 'a'"}).value();
  AmendmentLog amendments(db);
  disk.fail_from(1, SQLITE_FULL);
  CHECK(amendments.amend(batch, AmendedThing::description, 0, description_text(at(0), "b", ""), at(1))
            .error()
            .code == Errc::storage);
  disk.heal();
  CHECK(BatchStore(db).all().value().at(0).name == "a");
  CHECK(amendments.amend(batch, AmendedThing::description, 0, description_text(at(0), "b", ""), at(1)));
}

TEST_CASE("how a batch continues after a re-evaluation is stored") {
  Amended a;
  JudgingLog log(a.db);
  CHECK(log.continuity(a.batch).value().resumes_after == Time::min());
  CHECK_FALSE(log.due(a.batch).value());
  REQUIRE(log.call_for(a.batch));
  CHECK(log.due(a.batch).value());
  Continuity continuity{at(700), {{{AlertKind::stuck, "", 0}, 2}, {{AlertKind::step_due, "", 3}, -1}}};
  REQUIRE(log.settle(a.batch, continuity));
  CHECK_FALSE(log.due(a.batch).value());
  Database again = open(a.dir / "journal.db");
  CHECK(JudgingLog(again).continuity(a.batch).value().resumes_after == at(700));
  CHECK(JudgingLog(again).continuity(a.batch).value().shifts == continuity.shifts);
}
