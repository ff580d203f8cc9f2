#include "ingest/intake.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/rfc3339.h"
#include "base/text.h"
#include "ingest/json_pointer.h"
#include "ingest/json_value.h"
#include "ingest/topic_filter.h"
#include "ingest/unit.h"

namespace gyle {

bool is_sensor_id(std::string_view text) { return is_name(text, kLongestSensorId); }

std::optional<Measured> Intake::unstamped(std::string_view sensor, double ago_s) {
  if (message_.retained) {
    refuse(RefusalReason::retained, sensor,
           "a retained message without a time of its own: nobody knows when it was measured");
    return std::nullopt;
  }
  if (!(ago_s >= -in_seconds(kNewestStamp) && ago_s <= in_seconds(kOldestStamp))) {
    refuse(RefusalReason::bad_time, sensor,
           fmt::format("measured {:.6g} s before it arrived is not possible", ago_s));
    return std::nullopt;
  }
  const auto quality = message_.backlog ? TimeQuality::backlog : TimeQuality::arrival;
  const double ago_ms = std::max(0.0, std::round(ago_s * 1e3));
  return Measured{message_.received - Duration(static_cast<Duration::rep>(ago_ms)), quality};
}

std::optional<Measured> Intake::stamped(std::string_view sensor, double epoch_s) {
  // Years 1970 to 2100: anything else about a rehearsal's time stamps is for the core to judge.
  if (message_.stamp_is_clock && epoch_s >= 0 && epoch_s <= 4.1e9) {
    return Measured{Time(Duration(std::llround(epoch_s * 1e3))), TimeQuality::stamped};
  }
  const double ahead_s = epoch_s - in_seconds(message_.received.time_since_epoch());
  if (epoch_s > 0 && epoch_s <= 4.1e9) {
    const Time stamp(Duration(std::llround(epoch_s * 1e3)));
    decoded_.newest_stamp = std::max(decoded_.newest_stamp.value_or(stamp), stamp);
  }
  if (!(ahead_s >= -in_seconds(kOldestStamp) && ahead_s <= in_seconds(kNewestStamp))) {
    // Within the years 1 to 9999 it can be named, beyond only counted.
    const bool nameable = epoch_s > -6.2e10 && epoch_s < 2.5e11;
    const std::string when = nameable ? format_rfc3339(Time(Duration(std::llround(epoch_s) * 1000)))
                                      : fmt::format("{:.6g} s", epoch_s);
    refuse(RefusalReason::bad_time, sensor,
           fmt::format("stamped {}, but it arrived {}; set the sensor's clock", when,
                       format_rfc3339(std::chrono::floor<seconds>(message_.received))));
    return std::nullopt;
  }
  if (ahead_s > in_seconds(kClockSkew)) return unstamped(sensor);
  return Measured{Time(Duration(std::llround(epoch_s * 1e3))), TimeQuality::stamped};
}

void Intake::take(std::string_view sensor, Quantity quantity, double value, Unit unit, Measured measured) {
  if (!std::isfinite(value)) {
    refuse(RefusalReason::not_a_number, sensor, fmt::format("{}: not a finite number", name(quantity)));
    return;
  }
  const auto canonical = to_canonical(value, unit);
  if (!canonical) {
    refuse(RefusalReason::out_of_range, sensor,
           fmt::format("{}: {}", name(quantity), canonical.error().message));
    return;
  }
  if (const auto complaint = implausible(quantity, canonical.value())) {
    refuse(complaint->reason, sensor, fmt::format("{}: {}", name(quantity), complaint->detail));
    return;
  }
  decoded_.readings.push_back(
      {measured.time, std::string(sensor), quantity, canonical.value(), measured.quality});
}

void Intake::refuse(RefusalReason reason, std::string_view sensor, std::string detail) {
  if (decoded_.refusals.size() == kRefusalsPerMessage) return;
  constexpr std::size_t kTopicShown = 256;
  decoded_.refusals.push_back({message_.received, reason, displayable(message_.topic, kTopicShown),
                               displayable(sensor, kLongestSensorId), std::move(detail),
                               displayable(message_.payload, kRefusalHeadBytes)});
}

bool Intake::has_sensor(std::string_view sensor) {
  if (is_sensor_id(sensor)) return true;
  refuse(RefusalReason::no_sensor, sensor,
         fmt::format("no sensor id: 1 to {} bytes of plain text are expected, more than spaces and without "
                     "invisible characters",
                     kLongestSensorId));
  return false;
}

std::optional<std::string> sensor_of(const SensorId& where, const JsonValue* document, Intake& intake) {
  std::string id;
  if (const auto* named = std::get_if<SensorNamed>(&where)) {
    id = named->id;
  } else if (const auto* level = std::get_if<SensorFromLevel>(&where)) {
    const auto text = topic_level(intake.message().topic, level->level);
    if (!text) {
      intake.refuse(RefusalReason::no_sensor, "", fmt::format("the topic has no level {}", level->level));
      return std::nullopt;
    }
    id = *text;
  } else if (const auto* pointer = std::get_if<SensorFromPointer>(&where)) {
    const JsonValue* found = document ? find(*document, pointer->pointer) : nullptr;
    const auto* number = found ? std::get_if<JsonNumber>(&found->is) : nullptr;
    if (found && found->string()) {
      id = *found->string();
    } else if (number && number->integer) {
      id = std::to_string(*number->integer);
    } else {
      intake.refuse(RefusalReason::no_sensor, "",
                    fmt::format("no text and no whole number at {} to name the sensor", pointer->pointer));
      return std::nullopt;
    }
  }
  if (!intake.has_sensor(id)) return std::nullopt;
  return id;
}

}  // namespace gyle
