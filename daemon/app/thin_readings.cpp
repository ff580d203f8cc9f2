#include "app/thin_readings.h"

#include <fmt/format.h>

#include "app/history.h"
#include "base/rfc3339.h"

namespace gyle {
namespace {

constexpr std::size_t kCoursePoints = 1500;  // more than a screen has columns
constexpr std::int64_t kLeastGain = 10'000;  // readings; a stored course takes the room of half as many

Result<std::vector<StoredBatch>> chosen(BatchStore& batches, const ThinningRule& rule,
                                        const std::optional<std::string>& wanted) {
  if (wanted) {
    BOOST_OUTCOME_TRY(one, batches.find(*wanted));
    if (one.packaged && *one.packaged >= rule.packaged_before) {
      return fail(Errc::conflict,
                  fmt::format("the batch \"{}\" was packaged on {}, which is not that long ago", one.name,
                              format_rfc3339(*one.packaged).substr(0, 10)));
    }
    return std::vector{one};  // one that is in its vessel is refused by JournalThinning
  }
  BOOST_OUTCOME_TRY(all, batches.all());
  std::vector<StoredBatch> old;
  for (const StoredBatch& one : all) {
    if (one.packaged && *one.packaged < rule.packaged_before) old.push_back(one);
  }
  return old;
}

}  // namespace

Result<std::vector<ThinnedBatch>> thin_readings(Database& database, const ThinningRule& rule,
                                                const std::optional<std::string>& batch, bool for_real) {
  Journal journal(database);
  WatchLog log(database);
  CalibrationStore calibrations(database);
  BatchStore batches(database);
  JournalThinning thinning(database);
  BOOST_OUTCOME_TRY(old, chosen(batches, rule, batch));
  std::vector<ThinnedBatch> thinned;
  for (const StoredBatch& one : old) {
    BOOST_OUTCOME_TRY(readings, thinning.count(one.id, rule.every));
    if (readings.before - readings.after < kLeastGain) continue;
    if (for_real) {
      BOOST_OUTCOME_TRY(past, read_past(journal, log, calibrations, one));
      BOOST_OUTCOME_TRY(kept, batches.ending(one.id));
      std::optional<StoredEnding> ending;
      if (!kept || !parse_ending(kept->text)) ending = stored_ending(ending_of(past), past.first_fed);
      BOOST_OUTCOME_TRY(
          done, thinning.thin(one.id, rule.every, course_json(past.trace->reduced(kCoursePoints)), ending));
      readings = done;
    }
    thinned.push_back({one.id, one.name, readings});
  }
  return thinned;
}

}  // namespace gyle
