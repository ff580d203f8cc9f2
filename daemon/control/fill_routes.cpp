#include "control/fill_routes.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
#include "units/quantity_text.h"
#include "wording/packaging_lines.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const NumberedFill& one) {
  const Fill& fill = one.fill;
  Json json{{"id", one.id},
            {"time", format_rfc3339(fill.time)},
            {"container", name(fill.container)},
            {"count", fill.count},
            {"litres_each", fill.litres_each},
            {"gas", name(fill.gas)},
            {"storage_celsius", fill.storage.value}};
  if (const auto when = carbonated(fill)) {
    json["carbonated"] = {{"value", format_rfc3339(when->value)},
                          {"low", format_rfc3339(when->low)},
                          {"high", format_rfc3339(when->high)}};
  }
  return json;
}

HttpResponse answer(const Call& call, const BatchRecord& batch, int status,
                    std::optional<Container> entered = {}) {
  const auto fills = call.cellar.fills(batch.id);
  if (!fills) return problem(fills.error());
  const std::optional<double> volume =
      batch.unreadable.empty() ? described_at(batch.spec, batch.packaged.value_or(Time::max())).volume_l
                               : std::nullopt;
  std::vector<std::string> lines = fill_lines(fills.value(), volume, call.display, call.cellar.daemon().now);
  if (entered) {
    lines.push_back("Take care: " + handling_caution(*entered, call.display));
    if (batch.packaged && batch.unreadable.empty()) {
      const std::string early = left_early_sentence(batch.view, call.display, *batch.packaged);
      if (!early.empty()) lines.push_back(early);
    }
  }
  Json all = Json::array();
  double litres = 0;
  for (const NumberedFill& one : fills.value()) {
    all.push_back(to_json(one));
    litres += one.fill.litres();
  }
  return json_response({{"batch", batch.spec.name},
                        {"lines", std::move(lines)},
                        {"litres", litres},
                        {"fills", std::move(all)}},
                       status);
}

Result<Fill> fill_in(const Call& call, const BatchRecord& batch) {
  Fill fill;
  const auto container = container_named(call.query("container").value_or(""));
  if (!container) {
    return fail(Errc::malformed, "say what it was filled into: container is bottles or keg");
  }
  fill.container = *container;
  BOOST_OUTCOME_TRY(count, call.number("count", 1, kMostContainers));
  if (!count) return fail(Errc::malformed, "say how many: count is a whole number");
  fill.count = *count;
  const auto each = call.query("each");
  if (!each && *container == Container::keg) {
    return fail(Errc::malformed, "say what a keg took: each, as 11 L");
  }
  BOOST_OUTCOME_TRY(litres, parse_volume_litres(each.value_or("0.5 L")));
  fill.litres_each = litres;
  const auto gas = call.query("gas");
  fill.gas = *container == Container::keg ? GasSource::cylinder : GasSource::priming;
  if (gas) {
    const auto source = gas_source_named(*gas);
    if (!source) return fail(Errc::malformed, "gas is priming or cylinder");
    fill.gas = *source;
  }
  if (const auto storage = call.query("storage")) {
    BOOST_OUTCOME_TRY(celsius, parse_temperature(*storage));
    fill.storage = celsius;
  }
  BOOST_OUTCOME_TRY(time, call.time("time"));
  fill.time = time.value_or(batch.packaged.value_or(call.cellar.daemon().now));
  return fill;
}

}  // namespace

HttpResponse list_fills(const Call& call, const BatchRecord& batch) { return answer(call, batch, 200); }

HttpResponse enter_fill(const Call& call, const BatchRecord& batch) {
  const auto fill = fill_in(call, batch);
  if (!fill) return problem(fill.error());
  const auto made = call.cellar.add_fill(batch.id, fill.value());
  return made ? answer(call, batch, 201, fill.value().container) : problem(made.error());
}

HttpResponse take_back_fill(const Call& call, const BatchRecord& batch) {
  const std::string& text = call.segment(4);
  std::int64_t which = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), which);
  if (error != std::errc{} || end != text.data() + text.size()) {
    return problem(404, fmt::format("this batch has no fill {}", text));
  }
  if (call.query("take_back") != "yes") return problem(400, "say that it is taken back: ?take_back=yes");
  const auto done = call.cellar.take_back_fill(batch.id, which);
  return done ? answer(call, batch, 201) : problem(done.error());
}

}  // namespace gyle
