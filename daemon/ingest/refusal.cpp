#include "ingest/refusal.h"

#include <array>
#include <utility>

namespace gyle {
namespace {

constexpr std::array<std::pair<RefusalReason, const char*>, 14> kNames{{
    {RefusalReason::too_large, "too_large"},
    {RefusalReason::not_json, "not_json"},
    {RefusalReason::not_a_number, "not_a_number"},
    {RefusalReason::missing_field, "missing_field"},
    {RefusalReason::unknown_unit, "unknown_unit"},
    {RefusalReason::out_of_range, "out_of_range"},
    {RefusalReason::probe_error, "probe_error"},
    {RefusalReason::bad_time, "bad_time"},
    {RefusalReason::retained, "retained"},
    {RefusalReason::no_sensor, "no_sensor"},
    {RefusalReason::bad_pack, "bad_pack"},
    {RefusalReason::unmapped, "unmapped"},
    {RefusalReason::not_storable, "not_storable"},
    {RefusalReason::too_many, "too_many"},
}};

}  // namespace

const char* name(RefusalReason reason) {
  for (const auto& [candidate, word] : kNames) {
    if (candidate == reason) return word;
  }
  return "unknown";
}

std::optional<RefusalReason> refusal_reason_named(std::string_view text) {
  for (const auto& [candidate, word] : kNames) {
    if (text == word) return candidate;
  }
  return std::nullopt;
}

}  // namespace gyle
