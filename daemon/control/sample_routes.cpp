#include "control/sample_routes.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "control/paging.h"
#include "control/sample_request.h"
#include "control/view_json.h"
#include "wording/format.h"
#include "wording/sample_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

}  // namespace

HttpResponse list_samples(const Call& call, const BatchRecord& batch) {
  const auto query = page_query(call, 100, 1000);
  if (!query) return problem(query.error());
  const auto samples = call.cellar.samples(batch.id);
  if (!samples) return problem(samples.error());
  Page page(query.value());
  Json lines = Json::array();
  for (const JournalEntry& sample : samples.value()) {
    const Cursor cursor{sample.number, 0};
    if (query.value().after && cursor <= *query.value().after) continue;
    if (!page.add({{"number", sample.number},
                   {"time", format_rfc3339(sample.reading.time)},
                   {"gravity_sg", sample.reading.value}},
                  cursor)) {
      break;
    }
    lines.push_back(fmt::format("{}  {}  {}", sample.number, show_time(sample.reading.time, call.display),
                                show_gravity(sample.reading.value, call.display, 4)));
  }
  if (lines.empty()) lines.push_back("No sample yet.");
  Json json{{"batch", batch.spec.name}, {"lines", std::move(lines)}};
  page.put(json, "samples");
  return json_response(json);
}

HttpResponse take_sample(const Call& call, const BatchRecord& before) {
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const auto measured = sample_gravity(call.target.query, before.spec.original_gravity, call.display);
  if (!measured) return problem(measured.error());
  const auto& [gravity, how] = measured.value();
  const auto after = call.cellar.sample(before.id, gravity, time.value());
  if (!after) return problem(after.error());
  Json lines = Json::array();
  if (!how.empty()) lines.push_back(how);
  for (const std::string& line : sample_lines(gravity, before.view, after.value().view, call.display)) {
    lines.push_back(line);
  }
  return json_response({{"batch", before.spec.name},
                        {"lines", std::move(lines)},
                        {"gravity_sg", gravity.value()},
                        {"before", to_json(before.view)},
                        {"after", to_json(after.value().view)}},
                       201);
}

}  // namespace gyle
