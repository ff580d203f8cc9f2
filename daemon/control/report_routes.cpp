#include "control/report_routes.h"

#include <fmt/format.h>

#include <algorithm>

#include "control/json_answer.h"
#include "control/paging.h"
#include "control/reference.h"
#include "reports/curve_csv.h"
#include "reports/exported_csv.h"
#include "reports/report_html.h"

namespace gyle {
namespace {

constexpr std::size_t kMostBytes = 900'000;  // of one answer
constexpr int kMostRows = 5'000;

Result<BatchStory> story_of(const Cellar& cellar, const BatchRecord& batch) {
  if (!batch.unreadable.empty()) {
    return fail(
        Errc::conflict,
        fmt::format(
            "the batch \"{}\" has no report, because its description cannot be read: {}; the daemon's "
            "log says what to do",
            batch.spec.name, batch.unreadable));
  }
  BatchStory story{batch.vessel, batch.spec, batch.packaged, batch.view, {}, {}, {}, {}, {}};
  BOOST_OUTCOME_TRY(trace, cellar.trace(batch.id));
  story.curve = trace->curve();
  story.beer = trace->beer();
  story.ambient = trace->ambient();
  for (const UsedReading& sample : trace->samples())
    story.samples.push_back({sample.time, SpecificGravity::unchecked(sample.value)});
  BOOST_OUTCOME_TRY(reported, cellar.alerts(batch.id));
  for (const ReportedAlert& alert : reported) story.alerts.push_back({alert.decision, alert.text});
  BOOST_OUTCOME_TRY(notes, cellar.notes(batch.id));
  for (const Note& note : notes) story.notes.push_back({note.time, note.text, note.tasting});
  BOOST_OUTCOME_TRY(fills, cellar.fills(batch.id));
  for (const NumberedFill& one : fills) story.fills.push_back(one.fill);
  return story;
}

// Numbers separated by commas.
Result<std::vector<std::string>> others(const Call& call) {
  std::vector<std::string> numbers;
  const std::string list = call.query("with").value_or("");
  for (std::size_t begin = 0; begin < list.size();) {
    const std::size_t end = std::min(list.find(',', begin), list.size());
    numbers.push_back(list.substr(begin, end - begin));
    begin = end + 1;
  }
  if (numbers.size() + 1 > kMostReported) {
    return fail(Errc::malformed, fmt::format("a report compares up to {} batches", kMostReported));
  }
  return numbers;
}

HttpResponse report(const Call& call) {
  const std::string align = call.query("align").value_or("pitch");
  if (align != "pitch" && align != "start") return problem(400, "'align' is pitch or start");
  const auto batches = call.cellar.batches();
  auto references = others(call);
  if (!references) return problem(references.error());
  references.value().insert(references.value().begin(), call.segment(2));
  std::vector<BatchStory> stories;
  for (const std::string& reference : references.value()) {
    const auto batch = find_batch(batches, reference);
    if (!batch) return problem(batch.error());
    auto story = story_of(call.cellar, batch.value());
    if (!story) return problem(story.error());
    stories.push_back(std::move(story.value()));
  }
  const DaemonRecord daemon = call.cellar.daemon();
  HttpResponse response{.content_type = "text/html; charset=utf-8",
                        .body = report_html(stories, call.display, daemon.now, daemon.version,
                                            align == "start" ? Alignment::start : Alignment::pitch)};
  // The document contains its style; nothing else may be loaded or run.
  response.headers = {{"Content-Security-Policy",
                       "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
                       "frame-ancestors 'none'"}};
  return response;
}

// Rows up to a page's end, and the address of the rest.
class CsvPage {
 public:
  CsvPage(const BatchRecord& batch, const PageQuery& query, const char* what, std::string header)
      : limit_(query.limit), address_(fmt::format("/v1/batches/{}/{}.csv", batch.id, what)) {
    response_.content_type = "text/csv; charset=utf-8; header=present";
    response_.body = std::move(header);
    response_.headers = {
        {"Content-Disposition", fmt::format("attachment; filename=\"batch-{}-{}.csv\"", batch.id, what)}};
  }

  // False: the page is full, and this row is the first of the rest.
  bool add(const std::string& row, const Cursor& cursor) {
    if (rows_ >= limit_ || response_.body.size() + row.size() > kMostBytes) {
      response_.headers.emplace_back(
          "Link", fmt::format("<{}?cursor={}&limit={}>; rel=\"next\"", address_, cursor_text(last_), limit_));
      return false;
    }
    response_.body += row;
    last_ = cursor;
    ++rows_;
    return true;
  }

  HttpResponse answer() && { return std::move(response_); }

 private:
  std::size_t limit_;
  std::string address_;
  HttpResponse response_;
  Cursor last_;
  std::size_t rows_ = 0;
};

HttpResponse readings(const Call& call, const BatchRecord& batch, const PageQuery& query) {
  const std::int64_t after = query.after ? query.after->major : 0;
  const auto entries = call.cellar.readings(batch.id, after, query.limit + 1);
  if (!entries) return problem(entries.error());
  CsvPage page(batch, query, "readings", journal_csv_header());
  for (const JournalEntry& entry : entries.value()) {
    if (!page.add(journal_csv_row(entry.number, entry.received, entry.reading), {entry.number, 0})) break;
  }
  return std::move(page).answer();
}

// The cursor is a point's time, and its place among those of the same time.
HttpResponse curve(const Call& call, const BatchRecord& batch, const PageQuery& query) {
  const auto trace = call.cellar.trace(batch.id);
  if (!trace) return problem(trace.error());
  CsvPage page(batch, query, "curve", curve_csv_header_with_units());
  Cursor cursor{-1, 0};
  for (const CurvePoint& point : trace.value()->curve()) {
    const std::int64_t time = point.time.time_since_epoch().count();
    cursor = {time, time == cursor.major ? cursor.minor + 1 : 0};
    if (query.after && cursor <= *query.after) continue;
    if (!page.add(curve_csv_row(point), cursor)) break;
  }
  return std::move(page).answer();
}

HttpResponse alerts(const Call& call, const BatchRecord& batch, const PageQuery& query) {
  const auto reported = call.cellar.alerts(batch.id);
  if (!reported) return problem(reported.error());
  CsvPage page(batch, query, "alerts", alerts_csv_header());
  for (const ReportedAlert& alert : reported.value()) {
    if (query.after && alert.mark.id <= query.after->major) continue;
    if (!page.add(alerts_csv_row(alert.decision, alert.text), {alert.mark.id, 0})) break;
  }
  return std::move(page).answer();
}

HttpResponse notes(const Call& call, const BatchRecord& batch, const PageQuery& query) {
  const auto notes = call.cellar.notes(batch.id);
  if (!notes) return problem(notes.error());
  CsvPage page(batch, query, "notes", notes_csv_header());
  for (const Note& note : notes.value()) {
    const Cursor cursor{note.time.time_since_epoch().count(), note.id};
    if (query.after && cursor <= *query.after) continue;
    if (!page.add(notes_csv_row(note.id, note.time, note.text), cursor)) break;
  }
  return std::move(page).answer();
}

using PageOfBatch = HttpResponse (*)(const Call&, const BatchRecord&, const PageQuery&);

template <PageOfBatch answer>
HttpResponse csv(const Call& call) {
  const auto batch = find_batch(call.cellar.batches(), call.segment(2));
  if (!batch) return problem(batch.error());
  const auto query = page_query(call, kMostRows, kMostRows);
  return query ? answer(call, batch.value(), query.value()) : problem(query.error());
}

constexpr Route kReportRoutes[] = {
    {"GET", "/v1/batches/{batch}/report", report},
    {"GET", "/v1/batches/{batch}/readings.csv", csv<readings>},
    {"GET", "/v1/batches/{batch}/curve.csv", csv<curve>},
    {"GET", "/v1/batches/{batch}/alerts.csv", csv<alerts>},
    {"GET", "/v1/batches/{batch}/notes.csv", csv<notes>},
};

}  // namespace

std::span<const Route> report_routes() { return kReportRoutes; }

}  // namespace gyle
