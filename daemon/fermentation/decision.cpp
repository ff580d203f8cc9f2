#include "fermentation/decision.h"

#include <array>

#include "fermentation/view.h"

namespace gyle {
namespace {

struct Row {
  AlertKind kind;
  const char* word;
  Severity severity;
};

// A new kind of alert is one row here and one sentence in wording/.
constexpr std::array<Row, 13> kKinds{{
    {AlertKind::fermentation_started, "fermentation-started", Severity::informational},
    {AlertKind::slow_start, "slow-start", Severity::warning},
    {AlertKind::step_due, "step-due", Severity::notice},
    {AlertKind::step_not_held, "step-not-held", Severity::warning},
    {AlertKind::temperature_out_of_range, "temperature-out-of-range", Severity::warning},
    {AlertKind::stuck, "stuck", Severity::warning},
    {AlertKind::final_gravity_stable, "final-gravity-stable", Severity::notice},
    {AlertKind::over_attenuated, "over-attenuated", Severity::warning},
    {AlertKind::sensor_silent, "sensor-silent", Severity::warning},
    {AlertKind::sensor_frozen, "sensor-frozen", Severity::warning},
    {AlertKind::sensor_implausible, "sensor-implausible", Severity::warning},
    {AlertKind::battery_low, "battery-low", Severity::notice},
    {AlertKind::gravity_jumped, "gravity-jumped", Severity::notice},
}};

}  // namespace

const char* name(AlertKind kind) {
  for (const Row& row : kKinds) {
    if (row.kind == kind) return row.word;
  }
  return "unknown";
}

std::optional<AlertKind> alert_kind_named(std::string_view text) {
  for (const Row& row : kKinds) {
    if (text == row.word) return row.kind;
  }
  return std::nullopt;
}

Severity severity_of(AlertKind kind) {
  for (const Row& row : kKinds) {
    if (row.kind == kind) return row.severity;
  }
  return Severity::notice;
}

std::optional<double> find(const Evidence& evidence, std::string_view name) {
  for (const auto& [key, value] : evidence) {
    if (key == name) return value;
  }
  return std::nullopt;
}

namespace {
constexpr std::array<const char*, 8> kSeverities{"emergency", "alert",  "critical",      "error",
                                                 "warning",   "notice", "informational", "debug"};
}  // namespace

const char* name(Severity severity) { return kSeverities[static_cast<std::size_t>(severity)]; }

std::optional<Severity> severity_named(std::string_view text) {
  for (std::size_t i = 0; i < kSeverities.size(); ++i) {
    if (text == kSeverities[i]) return static_cast<Severity>(i);
  }
  return std::nullopt;
}

const char* name(Decision::State state) { return state == Decision::State::raised ? "raised" : "withdrawn"; }

const char* name(Stage stage) {
  switch (stage) {
    case Stage::lag:
      return "lag";
    case Stage::active:
      return "active";
    case Stage::slowing:
      return "slowing";
    case Stage::finished:
      return "finished";
    case Stage::stuck:
      return "stuck";
  }
  return "unknown";
}

namespace {
constexpr std::array<const char*, 13> kFindings{"no-reading",     "outdated",
                                                "not-falling",    "falling",
                                                "slower",         "stable",
                                                "stopped",        "reads-high",
                                                "reads-low",      "waiting-to-be-stable",
                                                "end-unknown",    "hydrometers-disagree",
                                                "probes-disagree"};
}  // namespace

const char* name(Finding finding) { return kFindings[static_cast<std::size_t>(finding)]; }

std::optional<Finding> finding_named(std::string_view text) {
  for (std::size_t i = 0; i < kFindings.size(); ++i) {
    if (text == kFindings[i]) return static_cast<Finding>(i);
  }
  return std::nullopt;
}

}  // namespace gyle
