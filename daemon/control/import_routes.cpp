#include "control/import_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "config/batch_file.h"
#include "control/batch_routes.h"
#include "control/json_answer.h"
#include "replay/readings_csv.h"

namespace gyle {
namespace {

bool is_key(const std::string& key) {
  const auto allowed = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  };
  return key.size() >= 8 && key.size() <= 64 && std::all_of(key.begin(), key.end(), allowed);
}

// What is wrong with a call before its body is looked at.
std::optional<HttpResponse> objection(const Call& call, const std::string& type) {
  if (!is_key(call.segment(2))) {
    return problem(400, "an import has a name of 8 to 64 letters, digits, hyphens and underscores");
  }
  if (call.request.content_type.substr(0, call.request.content_type.find(';')) != type) {
    return problem(415, "this must be sent as " + type);
  }
  return std::nullopt;
}

HttpResponse readings(const Call& call) {
  if (auto wrong = objection(call, "text/csv")) return *std::move(wrong);
  ReadingsCsv csv("readings");
  std::vector<Reading> rows;
  if (const auto fed = csv.feed(call.request.body, rows); !fed) return problem(fed.error());
  if (const auto ended = csv.finish(rows); !ended) return problem(ended.error());
  const auto fresh = call.cellar.import_readings(call.segment(2), rows);
  if (!fresh) return problem(fresh.error());
  return json_response({{"readings", rows.size()}, {"new", fresh.value()}});
}

HttpResponse batch(const Call& call) {
  if (auto wrong = objection(call, "application/toml")) return *std::move(wrong);
  const auto vessel = call.query("vessel");
  if (!vessel || vessel->empty()) return problem(400, "say which vessel it was in: ?vessel=NAME");
  const auto packaged = call.time("packaged");
  if (!packaged) return problem(packaged.error());
  if (!packaged.value()) return problem(400, "say when it was packaged: ?packaged=TIME");
  const auto spec = parse_batch(call.request.body, "batch");
  if (!spec) return problem(spec.error());
  const auto imported = call.cellar.import_batch(call.segment(2), *vessel, spec.value(), *packaged.value());
  return imported ? new_batch(call, imported.value()) : problem(imported.error());
}

constexpr Route kImportRoutes[] = {
    {"POST", "/v1/imports/{import}/readings", readings},
    {"POST", "/v1/imports/{import}/batch", batch},
};

}  // namespace

std::span<const Route> import_routes() { return kImportRoutes; }

}  // namespace gyle
