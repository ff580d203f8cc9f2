// Input: the name of a stored text, '=', and the text, as a failing disk or another program might leave it. Each
// is read without a database and without the judgement (read_rows does both, and is slow): it is read, or refused
// with a reason, and what was read is the same after it has been written and read again.
#include <cmath>
#include <cstdint>
#include <string>
#include <string_view>

#include "app/amendments.h"
#include "app/stored_decision.h"
#include "base/rfc3339.h"
#include "calibration/inclination_fit.h"
#include "fermentation/continuity.h"
#include "fuzz_check.h"
#include "ingest/refusal.h"
#include "notices/evidence_json.h"
#include "reports/ending_json.h"
#include "series/reading.h"
#include "storage/amendment_log.h"

namespace {

using namespace gyle;

template <class R>
bool read(const R& result) {
  if (!result) FUZZ_CHECK(!result.error().message.empty());
  return result.has_value();
}

void ending(std::string_view text) {
  const auto parsed = parse_ending(text);
  if (!read(parsed)) return;
  const std::string written = ending_json(parsed.value());
  const auto again = parse_ending(written);
  FUZZ_CHECK(again.has_value());
  FUZZ_CHECK(ending_json(again.value()) == written);
}

void evidence(std::string_view text) {
  const Evidence parsed = parse_evidence(text);
  for (const auto& [name, value] : parsed) FUZZ_CHECK(!std::isnan(value));
  const std::string written = evidence_json(parsed);
  FUZZ_CHECK(evidence_json(parse_evidence(written)) == written);
}

void dated(std::string_view text) {
  const auto parsed = parse_dated_text(std::string(text));
  if (!read(parsed)) return;
  const auto again = parse_dated_text(dated_text(parsed.value().time, parsed.value().text));
  FUZZ_CHECK(again.has_value());
  FUZZ_CHECK(again.value().time == parsed.value().time);
  FUZZ_CHECK(again.value().text == parsed.value().text);
}

void amended(AmendedThing thing, std::string_view text) {
  StoredAmendment stored;
  stored.thing = thing;
  stored.after = text;
  const auto amendment = amendment_of(stored);
  if (!read(amendment)) return;
  FUZZ_CHECK(std::holds_alternative<NotThere>(amendment.value().before));
  if (const auto* sample = std::get_if<HandSample>(&amendment.value().after)) {
    FUZZ_CHECK(SpecificGravity::from(sample->gravity.value()).has_value());
  }
  if (const auto* packaged = std::get_if<Time>(&amendment.value().after)) {
    const auto again = parse_rfc3339(format_rfc3339(*packaged));
    FUZZ_CHECK(again.has_value() && again.value() == *packaged);
  }
}

void points(std::string_view text) {
  const auto parsed = parse_calibration_points(text);
  if (!read(parsed)) return;
  // As many as the API takes would be too slow for this; what a brewer measures is fewer.
  if (parsed.value().size() > 30) return;
  const auto fit = fit_inclination(parsed.value());
  if (!read(fit)) return;
  for (const CalibrationPoint& point : parsed.value()) {
    const auto gravity = fit.value().curve.gravity(point.inclination);
    FUZZ_CHECK(!gravity || std::isfinite(gravity->value()));
  }
}

// "kind sensor shift evidence": of an alert, and of the numbering that a re-evaluation leaves behind.
void decision(std::string_view text) {
  const auto word = [&text] {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string one(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    return one;
  };
  StoredAlert alert;
  alert.kind = word();
  alert.sensor = word();
  alert.occurrence = static_cast<int>(word().size());
  alert.evidence = text;
  const auto stored = stored_decision(alert);
  if (!read(stored)) return;
  FUZZ_CHECK(name(stored.value().kind) == alert.kind);
  Continuity continuity;
  continuity.shifts[topic_of(stored.value())] = 1;
  FUZZ_CHECK(continuity.placed(stored.value()).occurrence == alert.occurrence + 1);
}

// Words of a closed list; any other is no such word.
void word(std::string_view text) {
  if (const auto one = finding_named(text)) FUZZ_CHECK(name(*one) == text);
  if (const auto one = alert_kind_named(text)) FUZZ_CHECK(name(*one) == text);
  if (const auto one = severity_named(text)) FUZZ_CHECK(name(*one) == text);
  if (const auto one = refusal_reason_named(text)) FUZZ_CHECK(name(*one) == text);
  if (const auto one = quantity_named(text)) FUZZ_CHECK(name(*one) == text);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  const std::size_t is = input.find('=');
  if (is == std::string_view::npos) return 0;
  const std::string_view column = input.substr(0, is);
  const std::string_view text = input.substr(is + 1);
  if (column == "ending") ending(text);
  if (column == "evidence") evidence(text);
  if (column == "dated") dated(text);
  if (column == "description") amended(AmendedThing::description, text);
  if (column == "sample") amended(AmendedThing::sample, text);
  if (column == "note") amended(AmendedThing::note, text);
  if (column == "packaged") amended(AmendedThing::packaged, text);
  if (column == "points") points(text);
  if (column == "decision") decision(text);
  if (column == "word") word(text);
  return 0;
}
