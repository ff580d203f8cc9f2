#include "control/addition_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>

#include "config/batch_validation.h"
#include "control/json_answer.h"
#include "control/view_json.h"
#include "units/quantity_text.h"
#include "wording/addition_words.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

// "  1  2 Mar 18:30  250 g of sugar: gravity up by 8 points".
Json lines_of(const BatchSpec& spec, const DisplaySettings& display) {
  Json lines = Json::array();
  std::optional<double> volume_l = spec.volume_l;
  for (const Addition& one : spec.additions) {
    std::string effect;
    if (volume_l) {
      const AdditionEffect does = effect_of(one, *volume_l);
      volume_l = does.volume_l;
      if (does.points > 0) effect = ": gravity up by " + show_gravity_change(does.points, display);
      if (one.kind == AdditionKind::water) effect = ": points down by " + show_percent(1 - does.keep);
    }
    lines.push_back(fmt::format("{:>3}  {}  {}{}", lines.size() + 1, show_time(one.time, display),
                                addition_words(one, display), effect));
  }
  if (lines.empty()) lines.push_back("Nothing was added.");
  return lines;
}

HttpResponse answer(const BatchSpec& spec, const DisplaySettings& display, int status) {
  return json_response(
      {{"batch", spec.name}, {"lines", lines_of(spec, display)}, {"additions", to_json(spec.additions)}},
      status);
}

// The additions are part of the description: entering one amends that.
HttpResponse described(const Call& call, const BatchRecord& batch, const BatchSpec& spec) {
  if (const auto checked = validate(spec); !checked) return problem(checked.error());
  const auto made = call.cellar.amend(batch.id, AmendedThing::description, 0, spec);
  return made ? answer(spec, call.display, 201) : problem(made.error());
}

HttpResponse unreadable(const BatchRecord& batch) {
  return problem(
      409, fmt::format("the description of \"{}\" cannot be read: {}", batch.spec.name, batch.unreadable));
}

// "0.1" or "10 %".
Result<double> share_in(std::string text) {
  const bool percent = !text.empty() && text.back() == '%';
  if (percent) text.pop_back();
  while (!text.empty() && text.back() == ' ') text.pop_back();
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
    return fail(Errc::malformed, "the share of sugar is expected as 0.1 or 10 %");
  }
  return percent ? value / 100 : value;
}

}  // namespace

HttpResponse list_additions(const Call& call, const BatchRecord& batch) {
  if (!batch.unreadable.empty()) return unreadable(batch);
  return answer(batch.spec, call.display, 200);
}

HttpResponse enter_addition(const Call& call, const BatchRecord& batch) {
  if (!batch.unreadable.empty()) return unreadable(batch);
  const auto kind = addition_kind_named(call.query("what").value_or(""));
  if (!kind) return problem(400, "say what was added: ?what=sugar, fruit, water or dry-hops");
  const auto time = call.time("time");
  if (!time) return problem(time.error());
  const std::string text = call.query("amount").value_or("");
  const auto amount = *kind == AdditionKind::water ? parse_volume_litres(text) : parse_mass_kg(text);
  if (!amount) return problem(amount.error());
  Addition addition{*kind, time.value().value_or(call.cellar.daemon().now), amount.value(), 0};
  if (const auto share = call.query("sugar_share")) {
    const auto read = share_in(*share);
    if (!read) return problem(read.error());
    addition.sugar_share = read.value();
  }
  BatchSpec spec = batch.spec;
  if (std::find(spec.additions.begin(), spec.additions.end(), addition) != spec.additions.end()) {
    return problem(409, "this addition is there already");
  }
  spec.additions.push_back(addition);
  std::stable_sort(spec.additions.begin(), spec.additions.end(),
                   [](const Addition& a, const Addition& b) { return a.time < b.time; });
  return described(call, batch, spec);
}

HttpResponse take_back_addition(const Call& call, const BatchRecord& batch) {
  if (!batch.unreadable.empty()) return unreadable(batch);
  const std::string& text = call.segment(4);
  std::size_t which = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), which);
  BatchSpec spec = batch.spec;
  if (error != std::errc{} || end != text.data() + text.size() || which < 1 ||
      which > spec.additions.size()) {
    return problem(404, fmt::format("this batch has no addition {}", text));
  }
  if (call.query("take_back") != "yes") return problem(400, "say that it is taken back: ?take_back=yes");
  spec.additions.erase(spec.additions.begin() + static_cast<std::ptrdiff_t>(which) - 1);
  return described(call, batch, spec);
}

}  // namespace gyle
