#include "control/note_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"
#include "control/json_answer.h"
#include "control/paging.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kMostCharacters = 2000;

}  // namespace

Result<std::string> note_text(std::string_view body) {
  std::string text;
  for (std::size_t i = 0; i < body.size(); ++i) {
    if (body[i] == '\r' && i + 1 < body.size() && body[i + 1] == '\n') continue;
    text += body[i];
  }
  constexpr const char* kBlank = " \t\n";
  const std::size_t begin = text.find_first_not_of(kBlank);
  if (begin == std::string::npos) return fail(Errc::malformed, "the note is empty; write something");
  text = text.substr(begin, text.find_last_not_of(kBlank) + 1 - begin);
  std::string in_one_line = text;
  std::replace_if(
      in_one_line.begin(), in_one_line.end(), [](char c) { return c == '\n' || c == '\t'; }, ' ');
  if (!is_clean_text(in_one_line)) {
    return fail(Errc::malformed, "a note must be text in UTF-8, without control or invisible characters");
  }
  const auto characters = static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
  if (characters > kMostCharacters) {
    return fail(Errc::malformed, "a note has at most 2000 characters; make two of it");
  }
  return text;
}

namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Note& note) {
  return {
      {"id", note.id}, {"time", format_rfc3339(note.time)}, {"text", note.text}, {"tasting", note.tasting}};
}

void add_lines(Json& lines, const Note& note, const DisplaySettings& display) {
  std::string before =
      fmt::format("{}  {}  {}", note.id, show_time(note.time, display), note.tasting ? "Tasted: " : "");
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
  const std::string tasting = call.query("tasting").value_or("no");
  if (tasting != "yes" && tasting != "no") return problem(400, "tasting is yes or no");
  const auto note = call.cellar.note(batch.id, text.value(), time.value(), tasting == "yes");
  if (!note) return problem(note.error());
  Json lines = Json::array();
  add_lines(lines, note.value(), call.display);
  return json_response(
      {{"batch", batch.spec.name}, {"lines", std::move(lines)}, {"note", to_json(note.value())}}, 201);
}

}  // namespace gyle
