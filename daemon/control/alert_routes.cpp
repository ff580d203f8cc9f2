#include "control/alert_routes.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "control/json_answer.h"
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

std::optional<std::string> query(const RequestTarget& target, std::string_view name) {
  const auto found = target.query.find(name);
  return found == target.query.end() ? std::nullopt : std::optional(found->second);
}

HttpResponse nothing_here() { return problem(404, "there is nothing at this address"); }

HttpResponse watcher_words(const RequestTarget& target, const Cellar& cellar,
                           const DisplaySettings& display) {
  constexpr int kMost = 1000;
  int limit = 20;
  if (const auto text = query(target, "limit")) {
    const auto number = whole_number<int>(*text);
    if (!number || *number < 1 || *number > kMost) {
      return problem(400, fmt::format("limit is a number from 1 to {}", kMost));
    }
    limit = *number;
  }
  const auto words = cellar.watcher_words(limit);
  if (!words) return problem(words.error());
  Json list = Json::array();
  for (const WatcherWord& word : words.value()) {
    Json json = to_json(word);
    json["line"] = fmt::format("{}  {}", show_time(word.time, display), word.text);
    list.push_back(std::move(json));
  }
  return json_response({{"alerts", std::move(list)}});
}

HttpResponse snooze(std::int64_t alert, const RequestTarget& target, Cellar& cellar,
                    const DisplaySettings& display) {
  const auto text = query(target, "until");
  if (!text) return problem(400, "say until when: ?until=2026-03-05T18:30:00Z");
  const auto until = parse_rfc3339(*text);
  if (!until) return problem(until.error());
  const auto done = cellar.snooze(alert, until.value());
  if (!done) return problem(done.error());
  return json_response(
      {{"lines",
        {fmt::format("No reminder before {} of: {}", show_time(until.value(), display), done.value())}}});
}

HttpResponse about_alert(const HttpRequest& request, const RequestTarget& target, Cellar& cellar,
                         const DisplaySettings& display) {
  const auto id = whole_number<std::int64_t>(target.segments[2]);
  if (!id) return problem(404, fmt::format("\"{}\" is no alert's number", target.segments[2]));
  const std::string& act = target.segments[3];
  if (act == "fate") {
    if (request.method != "GET") return wrong_method("GET");
    const auto channel = query(target, "channel");
    if (!channel) return problem(400, "say on which channel: ?channel=NAME");
    const auto fate = cellar.fate(*id, *channel);
    if (!fate) return problem(fate.error());
    return json_response({{"outcome", fate.value().outcome},
                          {"attempts", fate.value().attempts},
                          {"answer", fate.value().answer}});
  }
  if (act != "acknowledge" && act != "snooze") return nothing_here();
  if (request.method != "POST") return wrong_method("POST");
  if (act == "snooze") return snooze(*id, target, cellar, display);
  const auto done = cellar.acknowledge(*id);
  if (!done) return problem(done.error());
  return json_response({{"lines", {"No reminder any more of: " + done.value()}}});
}

HttpResponse channels(const Cellar& cellar, const DisplaySettings& display) {
  const auto reports = cellar.channels();
  if (!reports) return problem(reports.error());
  Json list = Json::array();
  Json lines = Json::array();
  for (const ChannelReport& report : reports.value()) {
    list.push_back(to_json(report));
    for (std::string& line : channel_lines({report.name, report.kind, report.waiting, report.refused,
                                            report.delivered_last, report.trouble},
                                           display)) {
      lines.push_back(std::move(line));
    }
  }
  return json_response({{"lines", std::move(lines)}, {"channels", std::move(list)}});
}

HttpResponse about_channel(const HttpRequest& request, const RequestTarget& target, Cellar& cellar) {
  const std::string& channel = target.segments[2];
  const std::string& act = target.segments[3];
  if (act != "test" && act != "retry") return nothing_here();
  if (request.method != "POST") return wrong_method("POST");
  if (act == "test") {
    const auto alert = cellar.test_channel(channel);
    return alert ? json_response({{"alert", alert.value()}}, 202) : problem(alert.error());
  }
  const auto again = cellar.retry_channel(channel);
  if (!again) return problem(again.error());
  return json_response(
      {{"again", again.value()},
       {"lines",
        {again.value() == 0 ? "Nothing was refused there." : fmt::format("{} sent again.", again.value())}}});
}

}  // namespace

HttpResponse respond_about_alerts(const HttpRequest& request, const RequestTarget& target, Cellar& cellar,
                                  const DisplaySettings& display) {
  const auto& segments = target.segments;
  const bool alerts = segments[1] == "alerts";
  if (segments.size() == 4) {
    return alerts ? about_alert(request, target, cellar, display) : about_channel(request, target, cellar);
  }
  if (segments.size() != 2) return nothing_here();
  if (request.method != "GET") return wrong_method("GET");
  return alerts ? watcher_words(target, cellar, display) : channels(cellar, display);
}

}  // namespace gyle
