#include "app/amendments.h"

#include <fmt/format.h>

#include <charconv>

#include "app/sample_check.h"
#include "base/rfc3339.h"
#include "config/batch_file.h"
#include "config/batch_validation.h"
#include "wording/format.h"

namespace gyle {
namespace {

// As storage/amendment_log.h keeps it.
std::string text_of(const Entry& entry) {
  struct {
    std::string operator()(const NotThere&) const { return ""; }
    std::string operator()(const BatchSpec& spec) const {
      return description_text(spec.pitched, spec.name, format_batch(spec));
    }
    std::string operator()(const HandSample& sample) const {
      return dated_text(sample.time, fmt::format("{}", sample.gravity.value()));
    }
    std::string operator()(const WrittenNote& note) const { return dated_text(note.time, note.text); }
    std::string operator()(Time time) const { return format_rfc3339(time); }
  } const text;
  return std::visit(text, entry);
}

Result<Entry> entry_of(AmendedThing thing, const std::string& text) {
  if (text.empty()) return Entry(NotThere{});
  if (thing == AmendedThing::packaged) {
    BOOST_OUTCOME_TRY(time, parse_rfc3339(text));
    return Entry(time);
  }
  BOOST_OUTCOME_TRY(dated, parse_dated_text(text));
  switch (thing) {
    case AmendedThing::note:
      return Entry(WrittenNote{dated.time, dated.text});
    case AmendedThing::sample: {
      double gravity = 0;
      std::from_chars(dated.text.data(), dated.text.data() + dated.text.size(), gravity);
      BOOST_OUTCOME_TRY(checked, SpecificGravity::from(gravity));
      return Entry(HandSample{dated.time, checked});
    }
    default:
      break;
  }
  const std::size_t line = std::min(dated.text.find('\n'), dated.text.size());
  // One that cannot be read is what an amendment may be about.
  auto spec =
      parse_batch(std::string_view(dated.text).substr(std::min(line + 1, dated.text.size())), "batch");
  if (spec) return Entry(std::move(spec.value()));
  return Entry(NotThere{});
}

}  // namespace

Result<Amendment> amendment_of(const StoredAmendment& stored) {
  BOOST_OUTCOME_TRY(before, entry_of(stored.thing, stored.before));
  BOOST_OUTCOME_TRY(after, entry_of(stored.thing, stored.after));
  return Amendment{stored.id, stored.time, stored.thing,  stored.row,
                   before,    after,       stored.undoes, stored.undone};
}

Result<std::vector<Amendment>> Amendments::of(const StoredBatch& batch) {
  BOOST_OUTCOME_TRY(stored, log_.of(batch.id));
  std::vector<Amendment> amendments;
  for (const StoredAmendment& one : stored) {
    BOOST_OUTCOME_TRY(amendment, amendment_of(one));
    amendments.push_back(std::move(amendment));
  }
  return amendments;
}

Result<Amendment> Amendments::amend(const StoredBatch& batch, AmendedThing thing, std::int64_t number,
                                    const Entry& after, Time now) {
  BOOST_OUTCOME_TRYV(check(batch, thing, after, now));
  BOOST_OUTCOME_TRY(stored, log_.amend(batch.id, thing, number, text_of(after), now));
  return done(stored, batch.id);
}

Result<Amendment> Amendments::undo(const StoredBatch& batch, std::optional<std::int64_t> amendment,
                                   Time now) {
  BOOST_OUTCOME_TRY(stored, log_.undo(batch.id, amendment.value_or(0), now));
  return done(stored, batch.id);
}

Status Amendments::check(const StoredBatch& batch, AmendedThing thing, const Entry& after, Time now) const {
  const DisplaySettings& display = watch_.display();
  const auto future = [&](Time time) {
    return fail(Errc::out_of_range, fmt::format("{} lies in the future; it is {} now",
                                                show_time(time, display), show_time(now, display)));
  };
  if (const auto* spec = std::get_if<BatchSpec>(&after)) {
    BOOST_OUTCOME_TRYV(validate(*spec));
    if (spec->pitched > now) return future(spec->pitched);
    for (const Addition& addition : spec->additions) {
      if (addition.time > now) return future(addition.time);
    }
    if (batch.packaged && spec->pitched > *batch.packaged) {
      return fail(Errc::out_of_range,
                  fmt::format("it was packaged {}; it cannot have been pitched after that",
                              show_time(*batch.packaged, display)));
    }
  } else if (const auto* sample = std::get_if<HandSample>(&after)) {
    BOOST_OUTCOME_TRY(present, watch_.spec(batch));
    BOOST_OUTCOME_TRYV(check_sample(present, sample->gravity, sample->time, now, display));
  } else if (const auto* note = std::get_if<WrittenNote>(&after)) {
    if (note->time > now) return future(note->time);
  } else if (const auto* packaged = std::get_if<Time>(&after)) {
    if (!batch.packaged) {
      return fail(Errc::conflict, "it is in its vessel; `gylekeeper package` says that it has left it");
    }
    if (*packaged > now) return future(*packaged);
    if (*packaged < batch.pitched) {
      return fail(Errc::out_of_range,
                  fmt::format("it was pitched {}; it cannot have been packaged before that",
                              show_time(batch.pitched, display)));
    }
  } else if (thing == AmendedThing::description) {
    return fail(Errc::missing, "a batch cannot be without a description");
  } else if (thing == AmendedThing::packaged) {
    BOOST_OUTCOME_TRY(past, watch_.is_past(batch.id));
    if (past)
      return fail(Errc::conflict, "it was imported, and never was in a vessel here; it stays packaged");
  }
  return success();
}

Result<Amendment> Amendments::done(const StoredAmendment& stored, std::int64_t batch) {
  if (stored.thing != AmendedThing::note) {
    if (const auto judged = watch_.re_evaluate(batch); !judged) {
      return fail(
          Errc::unavailable,
          fmt::format("the correction is stored and counts as soon as the batch can be re-evaluated: {}",
                      judged.error().message));
    }
  }
  return amendment_of(stored);
}

}  // namespace gyle
