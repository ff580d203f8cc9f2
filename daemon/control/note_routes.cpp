#include "control/note_routes.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "control/note_text.h"
#include "control/paging.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Note& note) {
  return {{"id", note.id}, {"time", format_rfc3339(note.time)}, {"text", note.text}};
}

void add_lines(Json& lines, const Note& note, const DisplaySettings& display) {
  std::string before = fmt::format("{}  {}  ", note.id, show_time(note.time, display));
  for (std::size_t begin = 0; begin <= note.text.size();) {
    const std::size_t end = std::min(note.text.find('\n', begin), note.text.size());
    lines.push_back(before + note.text.substr(begin, end - begin));
    before.assign(before.size(), ' ');
    begin = end + 1;
  }
}

}  // namespace

HttpResponse list_notes(const Call& call, const BatchRecord& batch) {
  const auto query = page_query(call, 100, 1000);
  if (!query) return problem(query.error());
  const auto notes = call.cellar.notes(batch.id);
  if (!notes) return problem(notes.error());
  Page page(query.value(), 400'000);  // their lines are as much again
  Json lines = Json::array();
  for (const Note& note : notes.value()) {
    const Cursor cursor{note.time.time_since_epoch().count(), note.id};
    if (query.value().after && cursor <= *query.value().after) continue;
    if (!page.add(to_json(note), cursor)) break;
    add_lines(lines, note, call.display);
  }
  if (lines.empty()) lines.push_back("No note yet.");
  Json json{{"batch", batch.spec.name}, {"lines", std::move(lines)}};
  page.put(json, "notes");
  return json_response(json);
}

HttpResponse write_note(const Call& call, const BatchRecord& batch) {
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != "text/plain") {
    return problem(415, "a note must be sent as text/plain");
  }
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto text = note_text(call.request.body);
  if (!text) return problem(text.error());
  const auto note = call.cellar.note(batch.id, text.value(), time.value());
  if (!note) return problem(note.error());
  Json lines = Json::array();
  add_lines(lines, note.value(), call.display);
  return json_response(
      {{"batch", batch.spec.name}, {"lines", std::move(lines)}, {"note", to_json(note.value())}}, 201);
}

}  // namespace gyle
