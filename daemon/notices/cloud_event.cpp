#include "notices/cloud_event.h"

#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

// Context attributes hold no control characters (section "Type System" of the specification).
std::string attribute(const std::string& text) { return displayable(text, text.size()); }

std::string subject_of(const Notice& notice) {
  if (notice.vessel.empty()) return attribute(notice.batch);
  if (notice.batch.empty()) return attribute(notice.vessel);
  return attribute(notice.vessel + "/" + notice.batch);
}

}  // namespace

std::string cloud_event(const Notice& notice) {
  Json event = {{"specversion", "1.0"},
                {"id", attribute(notice.id)},
                {"source", "/gylekeeper"},
                {"type", "gylekeeper.alert." + attribute(notice.kind)}};
  const std::string subject = subject_of(notice);
  if (!subject.empty()) event["subject"] = subject;
  event["time"] = format_rfc3339(notice.time);
  event["datacontenttype"] = "application/json";

  Json data = {{"kind", notice.kind}, {"severity", name(notice.severity)}, {"state", notice.state}};
  for (const auto& [key, value] :
       {std::pair{"vessel", &notice.vessel}, {"batch", &notice.batch}, {"sensor", &notice.sensor}}) {
    if (!value->empty()) data[key] = *value;
  }
  data["title"] = notice.title;
  data["text"] = notice.text;
  Json evidence = Json::parse(notice.evidence_json, nullptr, /*allow_exceptions=*/false);
  if (!evidence.is_discarded()) data["evidence"] = std::move(evidence);
  event["data"] = std::move(data);
  return event.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace gyle
