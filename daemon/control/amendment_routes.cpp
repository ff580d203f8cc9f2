#include "control/amendment_routes.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "config/batch_file.h"
#include "control/json_answer.h"
#include "control/note_routes.h"
#include "control/reference.h"
#include "control/sample_routes.h"
#include "control/view_json.h"
#include "wording/amendment_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Entry& entry) {
  struct {
    Json operator()(const NotThere&) const { return nullptr; }
    Json operator()(const BatchSpec& spec) const { return gyle::to_json(spec); }
    Json operator()(const HandSample& sample) const {
      return {{"time", format_rfc3339(sample.time)}, {"gravity_sg", sample.gravity.value()}};
    }
    Json operator()(const WrittenNote& note) const {
      return {{"time", format_rfc3339(note.time)}, {"text", note.text}};
    }
    Json operator()(Time time) const { return {{"time", format_rfc3339(time)}}; }
  } const json;
  return std::visit(json, entry);
}

Json to_json(const Amendment& amendment) {
  Json json{{"id", amendment.id},
            {"time", format_rfc3339(amendment.time)},
            {"thing", name(amendment.thing)},
            {"number", amendment.number},
            {"before", to_json(amendment.before)},
            {"after", to_json(amendment.after)},
            {"undone", amendment.undone}};
  if (amendment.undoes) json["undoes"] = *amendment.undoes;
  return json;
}

HttpResponse answer(const Call& call, const BatchRecord& batch, const Result<Amendment>& made) {
  if (!made) return problem(made.error());
  return json_response({{"batch", batch.spec.name},
                        {"lines", amendment_lines(made.value(), call.display)},
                        {"amendment", to_json(made.value())}},
                       201);
}

bool taken_back(const Call& call) { return call.query("take_back") == "yes"; }

// The number that the address ends in.
Result<std::int64_t> number(const Call& call, std::size_t place, const char* what) {
  const std::string& text = call.segment(place);
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error == std::errc{} && end == text.data() + text.size() && number > 0) return number;
  return fail(Errc::not_found, fmt::format("'{}' is not the number of {}", text, what));
}

HttpResponse list_amendments(const Call& call, const BatchRecord& batch) {
  const auto amendments = call.cellar.amendments(batch.id);
  if (!amendments) return problem(amendments.error());
  Json all = Json::array(), lines = Json::array();
  for (const Amendment& one : amendments.value()) {
    all.push_back(to_json(one));
    for (const std::string& line : amendment_lines(one, call.display)) lines.push_back(line);
  }
  if (all.empty()) lines.push_back("Nothing was corrected.");
  return json_response(
      {{"batch", batch.spec.name}, {"lines", std::move(lines)}, {"amendments", std::move(all)}});
}

HttpResponse description(const Call&, const BatchRecord& batch) {
  if (batch.unreadable.empty()) {
    return {.content_type = "application/toml", .body = format_batch(batch.spec)};
  }
  return problem(409,
                 fmt::format("the description of \"{}\" cannot be read: {}; put a whole one in its place",
                             batch.spec.name, batch.unreadable));
}

HttpResponse describe(const Call& call, const BatchRecord& batch) {
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "application/toml") {
    return problem(415, "the description must be sent as application/toml");
  }
  const auto spec = parse_batch(call.request.body, "batch");
  if (!spec) return problem(spec.error());
  return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::description, 0, spec.value()));
}

// A value that is not given stays.
HttpResponse amend_sample(const Call& call, const BatchRecord& batch) {
  const auto which = number(call, 4, "a sample");
  if (!which) return problem(which.error());
  if (taken_back(call)) {
    return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::sample, which.value(), NotThere{}));
  }
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto samples = call.cellar.samples(batch.id);
  if (!samples) return problem(samples.error());
  HandSample after{time.value().value_or(Time{}), SpecificGravity::unchecked(1)};
  bool known = false;
  for (const JournalEntry& one : samples.value()) {
    if (one.number != which.value()) continue;
    known = true;
    if (!time.value()) after.time = one.reading.time;
    after.gravity = SpecificGravity::unchecked(one.reading.value);
  }
  const bool measured = call.query("gravity") || call.query("refractometer");
  if (measured) {
    const auto gravity = sample_gravity(call.target.query, batch.spec.original_gravity, call.display);
    if (!gravity) return problem(gravity.error());
    after.gravity = gravity.value().gravity;
  }
  if (!known && !(measured && time.value())) {
    return problem(
        404, fmt::format("sample {} of this batch does not count; to have it count again give it both a "
                         "gravity and a time, or undo its amendment",
                         which.value()));
  }
  return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::sample, which.value(), after));
}

HttpResponse amend_note(const Call& call, const BatchRecord& batch) {
  const auto which = number(call, 4, "a note");
  if (!which) return problem(which.error());
  if (taken_back(call)) {
    return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::note, which.value(), NotThere{}));
  }
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto notes = call.cellar.notes(batch.id);
  if (!notes) return problem(notes.error());
  WrittenNote after{time.value().value_or(Time{}), ""};
  for (const Note& one : notes.value()) {
    if (one.id != which.value()) continue;
    after.text = one.text;
    if (!time.value()) after.time = one.time;
  }
  if (after.text.empty()) return problem(404, fmt::format("this batch has no note {}", which.value()));
  if (!call.request.body.empty()) {
    const auto text = note_text(call.request.body);
    if (!text) return problem(text.error());
    after.text = text.value();
  }
  return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::note, which.value(), after));
}

HttpResponse amend_packaged(const Call& call, const BatchRecord& batch) {
  if (taken_back(call))
    return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::packaged, 0, NotThere{}));
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  if (!time.value())
    return problem(400, "say when it was packaged: ?time=, or that it was not: ?take_back=yes");
  return answer(call, batch, call.cellar.amend(batch.id, AmendedThing::packaged, 0, *time.value()));
}

HttpResponse undo_last(const Call& call, const BatchRecord& batch) {
  return answer(call, batch, call.cellar.undo(batch.id, {}));
}

HttpResponse undo(const Call& call, const BatchRecord& batch) {
  const auto which = number(call, 4, "an amendment");
  if (!which) return problem(which.error());
  return answer(call, batch, call.cellar.undo(batch.id, which.value()));
}

template <HttpResponse (*answer)(const Call&, const BatchRecord&)>
HttpResponse amendments_of_batch(const Call& call) {
  const auto batch = find_batch(call.cellar.batches(), call.segment(2));
  return batch ? answer(call, batch.value()) : problem(batch.error());
}

constexpr Route kAmendmentRoutes[] = {
    {"GET", "/v1/batches/{batch}/amendments", amendments_of_batch<list_amendments>},
    {"GET", "/v1/batches/{batch}/description", amendments_of_batch<description>},
    {"POST", "/v1/batches/{batch}/description", amendments_of_batch<describe>},
    {"POST", "/v1/batches/{batch}/samples/{sample}", amendments_of_batch<amend_sample>},
    {"POST", "/v1/batches/{batch}/notes/{note}", amendments_of_batch<amend_note>},
    {"POST", "/v1/batches/{batch}/packaged", amendments_of_batch<amend_packaged>},
    {"POST", "/v1/batches/{batch}/undo", amendments_of_batch<undo_last>},
    {"POST", "/v1/batches/{batch}/undo/{amendment}", amendments_of_batch<undo>},
};

}  // namespace

std::span<const Route> amendment_routes() { return kAmendmentRoutes; }

}  // namespace gyle
