#include "control/alert_routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>

#include "control/json_answer.h"
#include "control/paging.h"
#include "control/view_json.h"
#include "wording/channel_lines.h"
#include "wording/format.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

template <class Number>
std::optional<Number> whole_number(std::string_view text) {
  Number number{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number;
}

HttpResponse system_alerts(const Call& call) {
  const auto query = page_query(call, 20, 1000);
  if (!query) return problem(query.error());
  const auto& after = query.value().after;
  const auto before = after ? std::optional(after->major) : std::nullopt;
  const int one_more = static_cast<int>(query.value().limit) + 1;
  const auto words = call.cellar.system_alerts(one_more, before);
  if (!words) return problem(words.error());
  // The newest fill the page; they are shown oldest first.
  Page page(query.value());
  for (auto word = words.value().rbegin(); word != words.value().rend(); ++word) {
    Json json = to_json(*word);
    json["line"] = fmt::format("{}  {}", show_time(word->time, call.display), word->text);
    if (!page.add(std::move(json), {word->mark.id, 0})) break;
  }
  Json json;
  page.put(json, "alerts");
  std::reverse(json["alerts"].begin(), json["alerts"].end());
  return json_response(json);
}

// `act` with the number of the alert in the address.
template <HttpResponse (*act)(const Call&, std::int64_t)>
HttpResponse of_alert(const Call& call) {
  const auto id = whole_number<std::int64_t>(call.segment(2));
  if (!id) return problem(404, fmt::format("\"{}\" is no alert's number", call.segment(2)));
  return act(call, *id);
}

HttpResponse acknowledge(const Call& call, std::int64_t alert) {
  const auto done = call.cellar.acknowledge(alert);
  if (!done) return problem(done.error());
  return json_response({{"lines", {"No reminder any more of: " + done.value()}}});
}

HttpResponse snooze(const Call& call, std::int64_t alert) {
  const auto until = call.time("until");
  if (!until) return problem(until.error());
  if (!until.value()) return problem(400, "say until when: ?until=2026-03-05T18:30:00Z");
  const auto done = call.cellar.snooze(alert, *until.value());
  if (!done) return problem(done.error());
  return json_response({{"lines",
                         {fmt::format("No reminder before {} of: {}", show_time(*until.value(), call.display),
                                      done.value())}}});
}

HttpResponse fate(const Call& call, std::int64_t alert) {
  const auto channel = call.query("channel");
  if (!channel) return problem(400, "say on which channel: ?channel=NAME");
  const auto fate = call.cellar.fate(alert, *channel);
  if (!fate) return problem(fate.error());
  return json_response({{"outcome", fate.value().outcome},
                        {"attempts", fate.value().attempts},
                        {"answer", fate.value().answer}});
}

HttpResponse channels(const Call& call) {
  const auto reports = call.cellar.channels();
  if (!reports) return problem(reports.error());
  Json list = Json::array();
  Json lines = Json::array();
  for (const ChannelReport& report : reports.value()) {
    list.push_back(to_json(report));
    for (std::string& line : channel_lines({report.name, report.kind, report.waiting, report.refused,
                                            report.delivered_last, report.trouble},
                                           call.display)) {
      lines.push_back(std::move(line));
    }
  }
  return json_response({{"lines", std::move(lines)}, {"channels", std::move(list)}});
}

HttpResponse test_channel(const Call& call) {
  const auto alert = call.cellar.test_channel(call.segment(2));
  return alert ? json_response({{"alert", alert.value()}}, 202) : problem(alert.error());
}

HttpResponse retry_channel(const Call& call) {
  const auto again = call.cellar.retry_channel(call.segment(2));
  if (!again) return problem(again.error());
  return json_response(
      {{"again", again.value()},
       {"lines",
        {again.value() == 0 ? "Nothing was refused there." : fmt::format("{} sent again.", again.value())}}});
}

constexpr Route kAlertRoutes[] = {
    {"GET", "/v1/alerts", system_alerts},
    {"POST", "/v1/alerts/{alert}/acknowledge", of_alert<acknowledge>},
    {"POST", "/v1/alerts/{alert}/snooze", of_alert<snooze>},
    {"GET", "/v1/alerts/{alert}/fate", of_alert<fate>},
    {"GET", "/v1/channels", channels},
    {"POST", "/v1/channels/{channel}/test", test_channel},
    {"POST", "/v1/channels/{channel}/retry", retry_channel},
};

}  // namespace

std::span<const Route> alert_routes() { return kAlertRoutes; }

}  // namespace gyle
