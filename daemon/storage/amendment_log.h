#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/amendment.h"
#include "storage/database.h"

namespace gyle {

// One correction of a batch's data. `before` and `after` are the old and the new value, "" for none:
//   description  when it was pitched, its name, and on the next lines the TOML: description_text()
//   sample       "2026-03-05T18:30:00Z 1.012"
//   note         "2026-03-05T18:30:00Z text"
//   packaged     "2026-03-21T10:00:00Z"; "" while it is in its vessel
struct StoredAmendment {
  std::int64_t id = 0;
  Time time;  // when it was corrected
  AmendedThing thing = AmendedThing::description;
  std::int64_t row = 0;  // the sample's number in the journal, the note's id; else 0
  std::string before;
  std::string after;
  std::optional<std::int64_t> undoes;  // it only takes back that amendment
  bool undone = false;
};

// Corrects what was entered about the batches, and keeps the old value. Each call is one transaction, which
// also asks for the batch to be re-evaluated where that matters. Errc::storage: nothing has happened, call
// again.
class AmendmentLog {
 public:
  explicit AmendmentLog(Database& database) : database_(&database) {}

  // Replaces the value by `after`.
  //   errors  Errc::not_found: the batch has no such thing; Errc::conflict: it is so already, or the vessel
  //           holds another batch, or another open batch has the name; Errc::malformed: `after` is not in the
  //           form above
  Result<StoredAmendment> amend(std::int64_t batch, AmendedThing thing, std::int64_t row,
                                const std::string& after, Time now);
  // Restores the value from before that amendment; 0 means the last amendment that is not undone.
  // Errc::conflict when it has been amended again since: that has to be undone first.
  Result<StoredAmendment> undo(std::int64_t batch, std::int64_t amendment, Time now);

  Result<std::vector<StoredAmendment>> of(std::int64_t batch);  // in order

 private:
  Database* database_;
};

// The forms above.
std::string dated_text(Time time, const std::string& text);
std::string description_text(Time pitched, const std::string& name, const std::string& spec);
struct DatedText {
  Time time;
  std::string text;
};
Result<DatedText> parse_dated_text(const std::string& text);

}  // namespace gyle
