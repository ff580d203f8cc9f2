#include "web/calendar.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/icalendar.h"
#include "wording/alert_title.h"
#include "wording/fill_lines.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"

namespace gyle {
namespace {

// "20260305" of the day that a moment lies in where the brewer is, whose midnight is less than a day away
// from that of UTC.
std::string local_date(Time time, const DisplaySettings& display) {
  const DisplaySettings in_utc;
  for (const int shift : {0, 1, -1}) {
    const Time day = time + days(shift);
    if (show_date(day, in_utc) == show_date(time, display)) return calendar_time(day).substr(0, 8);
  }
  return calendar_time(time).substr(0, 8);
}

std::optional<Time> moment(const std::optional<TimeInterval>& interval) {
  constexpr Time kLatest{seconds(4'000'000'000)};  // the year 2096
  if (!interval || !(interval->value > Time{} && interval->value < kLatest)) return std::nullopt;
  return interval->value;
}

// Rounded to a quarter of an hour: a forecast is no better, and does not move for nothing.
Time rounded(Time time) {
  constexpr Duration kQuarter = minutes(15);
  return Time((time.time_since_epoch() + kQuarter / 2) / kQuarter * kQuarter);
}

constexpr int kMostPackaged = 20;

class Calendar {
 public:
  Calendar(const Cellar& cellar, const DisplaySettings& display) : cellar_(cellar), display_(display) {
    for (const char* line : {"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Gylekeeper//Calendar//EN",
                             "CALSCALE:GREGORIAN", "NAME:Gylekeeper", "X-WR-CALNAME:Gylekeeper",
                             "REFRESH-INTERVAL;VALUE=DURATION:PT1H", "X-PUBLISHED-TTL:PT1H"}) {
      add_calendar_line(out_, line);
    }
    for (const BatchRecord& batch : cellar.open_batches()) {
      if (batch.unreadable.empty()) take(batch);
    }
    if (const auto batches = cellar.filled_last(kMostPackaged)) {
      for (const BatchRecord& batch : batches.value()) filled(batch);
    }
    add_calendar_line(out_, "END:VCALENDAR");
  }

  std::string text() && { return std::move(out_); }

 private:
  struct Entry {
    std::string what;  // of the UID
    std::string summary;
    std::string description;
    std::string start;  // with its parameters
    Time made;
    bool due;
  };

  void take(const BatchRecord& batch) {
    due(batch);
    const Forecast& forecast = batch.view.forecast;
    const Time made = forecast.time > batch.spec.pitched ? forecast.time : batch.view.time;
    const auto plan = static_cast<int>(batch.spec.plan.size());
    if (const auto time = moment(forecast.step_time); time && forecast.step && *forecast.step <= plan) {
      const int step = *forecast.step;
      std::string next = fmt::format("Hold {} at {} is then over.", step,
                                     show_temperature(hold_celsius(batch, step), display_));
      if (step < plan) {
        next += fmt::format(" Next: {}.", show_temperature(hold_celsius(batch, step + 1), display_));
      }
      expected(batch, fmt::format("hold-{}", step), fmt::format("hold {} over", step), next, *time,
               *forecast.step_time, made);
    }
    const bool ended = batch.view.final_gravity_since.has_value();
    if (const auto time = moment(forecast.final_time); time && !ended) {
      std::string where;
      if (forecast.final_gravity) {
        where = fmt::format("At {}, in 8 of 10 cases between {} and {}.",
                            show_gravity(forecast.final_gravity->value, display_, 4),
                            show_gravity(forecast.final_gravity->low, display_, 4),
                            show_gravity(forecast.final_gravity->high, display_, 4));
      }
      expected(batch, "final-gravity", "final gravity", where, *time, *forecast.final_time, made);
    }
    if (ended) return;
    const auto outlook = cellar_.outlook(batch.id, {});
    if (!outlook) return;
    if (const auto time = moment(outlook.value().ready_time)) {
      Entry entry = entry_of(batch, "packaging", "can be packaged", made);
      entry.start = ";VALUE=DATE:" + local_date(*time, display_);
      entry.description = fmt::format(
          "The first day on which it can be packaged, as far as can be seen: final gravity "
          "reached, and stable for {}.{} Check a sample by hand before; local rules on gas and pressure come "
          "first.",
          show_length(batch.spec.final_gravity.window), span(*outlook.value().ready_time));
      add(batch, entry);
    }
  }

  void filled(const BatchRecord& batch) {
    const auto fills = cellar_.fills(batch.id);
    if (!fills) return;
    for (const NumberedFill& one : fills.value()) {
      const auto when = carbonated(one.fill);
      if (!when) continue;
      Entry entry = entry_of(batch, fmt::format("carbonated-{}", one.id), "has its gas", one.fill.time);
      entry.start = ";VALUE=DATE:" + local_date(when->value, display_);
      entry.description = fmt::format("{}. {}", fill_words(one.fill, display_),
                                      carbonated_sentence(one.fill, display_, one.fill.time));
      add(batch, entry);
    }
  }

  // What waits for the brewer.
  void due(const BatchRecord& batch) {
    const auto reported = cellar_.alerts(batch.id);
    if (!reported) return;
    for (const ReportedAlert& alert : reported.value()) {
      const Decision& decision = alert.decision;
      const bool acts = decision.kind == AlertKind::step_due ||
                        decision.kind == AlertKind::final_gravity_stable || decision.kind == AlertKind::stuck;
      // A hold that another has followed waits for nobody.
      if (decision.step && *decision.step < batch.view.holds_over) continue;
      if (!acts || decision.state != Decision::State::raised || alert.mark.over || alert.mark.acknowledged)
        continue;
      Entry entry;
      entry.what =
          fmt::format("{}-{}-{}", name(decision.kind), decision.step.value_or(0), decision.occurrence);
      entry.summary = alert_title(decision.kind, decision.state, batch.spec.name, decision.sensor);
      entry.description = alert.text;
      entry.start = ":" + calendar_time(decision.time);
      entry.made = decision.time;
      entry.due = true;
      add(batch, entry);
    }
  }

  static double hold_celsius(const BatchRecord& batch, int step) {
    return batch.spec.plan[static_cast<std::size_t>(step - 1)].temperature.value;
  }

  std::string span(const TimeInterval& interval) const {
    const std::string words = show_span(interval, display_);
    return words.empty() ? "" : fmt::format(" In 8 of 10 cases {}.", words);
  }

  Entry entry_of(const BatchRecord& batch, std::string what, const std::string& title, Time made) const {
    Entry entry;
    entry.what = std::move(what);
    entry.summary = fmt::format("{}: {}, expected", batch.spec.name, title);
    entry.made = made;
    entry.due = false;
    return entry;
  }

  void expected(const BatchRecord& batch, std::string what, const std::string& title, const std::string& more,
                Time time, const TimeInterval& interval, Time made) {
    Entry entry = entry_of(batch, std::move(what), title, made);
    // What should have happened already may come at any time from when the forecast was made.
    entry.start = ":" + calendar_time(rounded(std::max(time, made)));
    entry.description = more + span(interval);
    add(batch, entry);
  }

  void add(const BatchRecord& batch, const Entry& entry) {
    const std::int64_t sequence =
        std::clamp<std::int64_t>((entry.made - batch.spec.pitched) / minutes(1), 0, 2'000'000'000);
    const bool day = entry.start.front() == ';';
    add_calendar_line(out_, "BEGIN:VEVENT");
    add_calendar_line(out_, fmt::format("UID:gylekeeper-{}-{}-{}", batch.id,
                                        batch.spec.pitched.time_since_epoch() / seconds(1), entry.what));
    add_calendar_line(out_, "DTSTAMP:" + calendar_time(entry.made));
    add_calendar_line(out_, "LAST-MODIFIED:" + calendar_time(entry.made));
    add_calendar_line(out_, fmt::format("SEQUENCE:{}", sequence));
    add_calendar_line(out_, "DTSTART" + entry.start);
    add_calendar_line(out_, day ? "DURATION:P1D" : "DURATION:PT30M");
    add_calendar_line(out_, "SUMMARY:" + calendar_escaped(entry.summary));
    add_calendar_line(out_, "DESCRIPTION:" + calendar_escaped(entry.description));
    if (!batch.vessel.empty()) add_calendar_line(out_, "LOCATION:" + calendar_escaped(batch.vessel));
    add_calendar_line(out_, entry.due ? "STATUS:CONFIRMED" : "STATUS:TENTATIVE");
    add_calendar_line(out_, "TRANSP:TRANSPARENT");
    add_calendar_line(out_, "END:VEVENT");
  }

  const Cellar& cellar_;
  const DisplaySettings& display_;
  std::string out_;
};

}  // namespace

std::string calendar_text(const Cellar& cellar, const DisplaySettings& display) {
  return Calendar(cellar, display).text();
}

}  // namespace gyle
