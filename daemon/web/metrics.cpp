#include "web/metrics.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <set>
#include <string_view>
#include <utility>
#include <vector>

#include "base/text.h"

namespace gyle {
namespace {

using Labels = std::vector<std::pair<std::string_view, std::string>>;

constexpr std::array kStages{Stage::lag, Stage::active, Stage::slowing, Stage::finished, Stage::stuck};

class Exposition {
 public:
  // `unit` is the end of the name, or empty.
  void family(std::string_view name, std::string_view type, std::string_view unit, std::string_view help) {
    sample_ = fmt::format("{}{}", name, type == "counter" ? "_total" : type == "info" ? "_info" : "");
    given_.clear();
    add("# TYPE {} {}\n", name, type);
    if (!unit.empty()) add("# UNIT {} {}\n", name, unit);
    add("# HELP {} {}\n", name, help);
  }

  // Each set of labels once: of two names that have become the same, the first counts.
  void value(const Labels& labels, std::optional<double> number) {
    if (!number || !std::isfinite(*number)) return;
    std::string line;
    for (const auto& [label, text] : labels) {
      line += fmt::format("{}{}=\"{}\"", line.empty() ? "" : ",", label, escaped(text));
    }
    if (!given_.insert(line).second) return;
    add("{}{}{}{} {}\n", sample_, line.empty() ? "" : "{", line, line.empty() ? "" : "}", *number);
  }

  std::string text() && { return std::move(out_) + "# EOF\n"; }

 private:
  template <typename... Args>
  void add(fmt::format_string<Args...> format, Args&&... args) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
  }

  static std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : displayable(text, text.size())) {
      if (c == '\\' || c == '"') out += '\\';
      out += c;
    }
    return out;
  }

  std::string sample_, out_;
  std::set<std::string> given_;
};

std::optional<double> epoch_s(std::optional<Time> time) {
  return time ? std::optional(in_seconds(time->time_since_epoch())) : std::nullopt;
}

void watcher(Exposition& out, const Cellar& cellar) {
  const DaemonRecord daemon = cellar.daemon();
  out.family("gylekeeper_build", "info", "", "What is running.");
  out.value({{"version", daemon.version}}, 1);
  out.family("gylekeeper_broker_connected", "gauge", "", "1 while there is a connection to the broker.");
  out.value({}, daemon.broker_connected ? 1 : 0);
  out.family("gylekeeper_database_usable", "gauge", "",
             "0 while the database cannot be written, or is known to be damaged.");
  out.value({}, daemon.database_trouble.empty() ? 1 : 0);
  out.family("gylekeeper_readings", "counter", "", "Readings accepted since the journal began.");
  out.value({}, static_cast<double>(daemon.readings));
  out.family("gylekeeper_refusals", "counter", "",
             "Messages or parts of them that were not used, by reason.");
  for (const auto& [reason, count] : cellar.refusals(0).counts) {
    out.value({{"reason", name(reason)}}, static_cast<double>(count));
  }
  out.family("gylekeeper_last_message_timestamp_seconds", "gauge", "seconds", "When the last message came.");
  out.value({}, epoch_s(daemon.last_message));
  out.family("gylekeeper_lag_seconds", "gauge", "seconds", "How long ago the last message came.");
  if (daemon.last_message) out.value({}, std::max(0.0, in_seconds(daemon.now - *daemon.last_message)));
}

void channels(Exposition& out, const Cellar& cellar) {
  const auto reports = cellar.channels();
  if (!reports) return;
  const auto labels = [](const ChannelReport& report) {
    return Labels{{"channel", report.name}, {"kind", report.kind}};
  };
  out.family("gylekeeper_alerts_waiting", "gauge", "", "Alerts that a channel has still to deliver.");
  for (const auto& report : reports.value()) out.value(labels(report), static_cast<double>(report.waiting));
  out.family("gylekeeper_alerts_refused", "gauge", "", "Alerts that a channel's destination has refused.");
  for (const auto& report : reports.value()) out.value(labels(report), static_cast<double>(report.refused));
  out.family("gylekeeper_alert_delivered_timestamp_seconds", "gauge", "seconds",
             "When a channel last delivered an alert.");
  for (const auto& report : reports.value()) out.value(labels(report), epoch_s(report.delivered_last));
}

void sensors(Exposition& out, const std::vector<BatchRecord>& batches) {
  const auto each = [&](auto number) {
    for (const BatchRecord& batch : batches) {
      for (const SensorHealth& health : batch.view.sensors) {
        out.value({{"sensor", health.sensor}, {"vessel", batch.vessel}}, number(health));
      }
    }
  };
  out.family("gylekeeper_sensor_heard_timestamp_seconds", "gauge", "seconds",
             "When a sensor was last heard.");
  each([](const SensorHealth& health) { return epoch_s(health.last_heard); });
  out.family("gylekeeper_sensor_battery_volts", "gauge", "volts", "The battery of a sensor.");
  each([](const SensorHealth& health) { return health.battery_v; });
  out.family("gylekeeper_sensor_trouble", "gauge", "",
             "1 while a sensor is silent, frozen on one value or reports what cannot be true.");
  each([](const SensorHealth& health) -> std::optional<double> {
    return health.silent || health.frozen || health.implausible ? 1 : 0;
  });
}

double exposed(double value) { return value; }
double exposed(Time time) { return in_seconds(time.time_since_epoch()); }

void batches(Exposition& out, const std::vector<BatchRecord>& all) {
  const auto labels = [](const BatchRecord& batch) {
    return Labels{{"batch", batch.spec.name}, {"vessel", batch.vessel}, {"number", std::to_string(batch.id)}};
  };
  const auto each = [&](auto number) {
    for (const BatchRecord& batch : all) out.value(labels(batch), number(batch.view));
  };
  // `tail` comes after the words for the ends of the interval.
  const auto interval = [&](const std::string& stem, const std::string& tail, std::string_view unit,
                            const char* help, auto of) {
    out.family(stem + tail, "gauge", unit, help);
    each([&](const BatchView& view) {
      return of(view) ? std::optional(exposed(of(view)->value)) : std::nullopt;
    });
    out.family(stem + "_low" + tail, "gauge", unit, "Lower end of its 80 % interval.");
    each([&](const BatchView& view) {
      return of(view) ? std::optional(exposed(of(view)->low)) : std::nullopt;
    });
    out.family(stem + "_high" + tail, "gauge", unit, "Upper end of its 80 % interval.");
    each([&](const BatchView& view) {
      return of(view) ? std::optional(exposed(of(view)->high)) : std::nullopt;
    });
  };

  out.family("gylekeeper_batches", "gauge", "", "Batches in the vessels, by where they stand.");
  for (const Stage stage : kStages) {
    const auto count = std::count_if(all.begin(), all.end(),
                                     [&](const BatchRecord& batch) { return batch.view.stage == stage; });
    out.value({{"stage", name(stage)}}, static_cast<double>(count));
  }
  out.family("gylekeeper_batch_stage", "stateset", "", "Where a batch stands.");
  for (const BatchRecord& batch : all) {
    for (const Stage stage : kStages) {
      Labels with = labels(batch);
      with.emplace_back("gylekeeper_batch_stage", name(stage));
      out.value(with, batch.view.stage == stage ? 1 : 0);
    }
  }
  interval("gylekeeper_batch_specific_gravity", "", "", "Gravity, as it is estimated.",
           [](const BatchView& view) { return view.gravity; });
  out.family("gylekeeper_batch_original_specific_gravity", "gauge", "", "Gravity at the pitch.");
  each([](const BatchView& view) { return view.original_gravity; });
  out.family("gylekeeper_batch_attenuation_ratio", "gauge", "ratio", "Apparent attenuation.");
  each([](const BatchView& view) { return view.attenuation; });
  out.family("gylekeeper_batch_temperature_celsius", "gauge", "celsius", "Temperature of the beer.");
  each([](const BatchView& view) {
    return view.temperature ? std::optional(view.temperature->value) : std::nullopt;
  });
  interval("gylekeeper_batch_final_specific_gravity", "", "", "Final gravity, as it is forecast.",
           [](const BatchView& view) { return view.forecast.final_gravity; });
  interval("gylekeeper_batch_final", "_timestamp_seconds", "seconds", "When final gravity is forecast.",
           [](const BatchView& view) { return view.forecast.final_time; });
  interval("gylekeeper_batch_hold_over", "_timestamp_seconds", "seconds",
           "When the next hold is forecast to be over.",
           [](const BatchView& view) { return view.forecast.step_time; });
}

void process(Exposition& out, const ProcessFigures& figures) {
  out.family("process_resident_memory_bytes", "gauge", "bytes", "Resident memory.");
  out.value({}, figures.resident_bytes);
  out.family("process_virtual_memory_bytes", "gauge", "bytes", "Virtual memory.");
  out.value({}, figures.virtual_bytes);
  out.family("process_cpu_seconds", "counter", "seconds", "Processor time, user and system.");
  out.value({}, figures.cpu ? std::optional(in_seconds(*figures.cpu)) : std::nullopt);
  out.family("process_start_time_seconds", "gauge", "seconds", "When the process was started.");
  out.value({}, epoch_s(figures.started));
  out.family("process_open_fds", "gauge", "", "Open file descriptors.");
  out.value({}, figures.open_fds);
  out.family("process_max_fds", "gauge", "", "How many file descriptors may be open.");
  out.value({}, figures.most_fds);
}

}  // namespace

std::string metrics_text(const Cellar& cellar, const ProcessFigures& figures) {
  std::vector<BatchRecord> in_vessels;
  for (BatchRecord& batch : cellar.open_batches()) {
    if (batch.unreadable.empty()) in_vessels.push_back(std::move(batch));
  }
  Exposition out;
  watcher(out, cellar);
  channels(out, cellar);
  batches(out, in_vessels);
  sensors(out, in_vessels);
  process(out, figures);
  return std::move(out).text();
}

std::string metrics_text(const Cellar& cellar) { return metrics_text(cellar, process_figures()); }

}  // namespace gyle
