#include "app/set_points.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "config/set_point_settings.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr Duration kTryAgain = minutes(1);

}  // namespace

SetPoints::SetPoints(Database& database, const Watch& watch, const Clock& clock, Ways ways)
    : watch_(watch), clock_(clock), ways_(std::move(ways)), store_(database) {}

const SetPointSettings* SetPoints::settings_of(const BatchRecord& batch) const {
  for (const Vessel& vessel : watch_.vessels()) {
    if (vessel.name == batch.vessel && vessel.set_point) return &*vessel.set_point;
  }
  return nullptr;
}

Result<SetPointPast> SetPoints::past(const BatchRecord& batch) const {
  BOOST_OUTCOME_TRY(past, store_.past(batch.id, batch.vessel));
  if (const auto doing = doing_.find(batch.id); doing != doing_.end()) past.sent = doing->second.sent;
  return past;
}

Result<SetPointReport> SetPoints::report(const BatchRecord& batch) const {
  SetPointReport report;
  const SetPointSettings* const settings = settings_of(batch);
  if (settings == nullptr) return report;
  BOOST_OUTCOME_TRY(past, this->past(batch));
  report.topic = settings->topic;
  SetPointStatus& status = report.status;
  status.rule = settings->rule;
  status.asked = past.asked;
  BOOST_OUTCOME_TRY(since, store_.asked_since(batch.id));
  status.asked_since = since;
  if (batch.packaged) {
    status.next.state = SetPoint::State::ended;
    return report;
  }
  status.next = next_set_point(batch.spec, batch.view.holds_over, settings->rule, past, clock_.now());
  if (const auto doing = doing_.find(batch.id); doing != doing_.end()) status.trouble = doing->second.trouble;
  return report;
}

Result<SetPointReport> SetPoints::confirm(const BatchRecord& batch, std::optional<int> step) {
  BOOST_OUTCOME_TRY(before, report(batch));
  const SetPoint& next = before.status.next;
  if (next.state != SetPoint::State::awaits_yes) {
    return fail(Errc::conflict,
                fmt::format("nothing waits for a yes in {}; `gylekeeper set-point {}` shows why",
                            batch.vessel, batch.vessel));
  }
  if (step && *step != next.ask->step) {
    return fail(Errc::conflict,
                fmt::format("what waits for a yes is what follows hold {}, not hold {}; look at it again",
                            next.ask->step, *step));
  }
  BOOST_OUTCOME_TRYV(store_.confirm(batch.id, *next.ask, clock_.now()));
  spdlog::info("the brewer agrees to {} for the thermostat of {}",
               show_temperature(next.ask->temperature.value, watch_.display()), batch.vessel);
  look(batch);
  return report(batch);
}

void SetPoints::look(const std::vector<BatchRecord>& batches) {
  for (const BatchRecord& batch : batches) look(batch);
}

void SetPoints::look(const BatchRecord& batch) {
  const SetPointSettings* const settings = settings_of(batch);
  if (settings == nullptr || batch.packaged || !batch.unreadable.empty() || !ways_.may_send()) return;
  Doing& doing = doing_[batch.id];
  const Time now = clock_.now();
  const bool too_soon = doing.tried && *doing.tried <= now && now - *doing.tried < kTryAgain;
  if (doing.on_its_way || too_soon) return;
  const auto past = this->past(batch);
  if (!past) {
    spdlog::error("{}", past.error().message);
    return;
  }
  const SetPoint next = next_set_point(batch.spec, batch.view.holds_over, settings->rule, past.value(), now);
  if (!doing.noted || doing.noted->state != next.state || doing.noted->ask != next.ask) {
    doing.noted = next;
    if (next.ask) {
      spdlog::info("the thermostat of {}, {}: {}", batch.vessel,
                   show_temperature(next.ask->temperature.value, watch_.display()), name(next.state));
    }
  }
  if (!next.due || *next.due > now) return;
  send(batch, *settings, *next.ask, next.state == SetPoint::State::agreed);
}

void SetPoints::send(const BatchRecord& batch, const SetPointSettings& settings, const Ask& ask,
                     bool change) {
  doing_[batch.id].on_its_way = true;
  ways_.publish(settings.topic, set_point_message(settings, ask.temperature), settings.retained,
                [this, id = batch.id, ask, change](const Status& published) {
                  Doing& doing = doing_[id];
                  doing.on_its_way = false;
                  const Time now = clock_.now();
                  const Status done = published && change ? store_.asked(id, ask, now) : published;
                  if (done) {
                    doing.sent = now;
                    doing.tried.reset();
                    doing.trouble.clear();
                    return;
                  }
                  doing.tried = now;
                  if (doing.trouble != done.error().message) {
                    doing.trouble = done.error().message;
                    spdlog::warn("a thermostat could not be asked: {}; it is tried again", doing.trouble);
                  }
                });
}

}  // namespace gyle
