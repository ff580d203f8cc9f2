#include "app/admission.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <filesystem>

#include "app/machine.h"
#include "base/rfc3339.h"
#include "base/text.h"

namespace gyle {
namespace {

// systemd-timesyncd and other services that follow systemd's convention make it (systemd-time-wait-sync(8)).
bool clock_is_synchronised() {
  std::error_code ignored;
  return std::filesystem::exists("/run/systemd/timesync/synchronized", ignored);
}

std::string to_the_second(Time time) { return format_rfc3339(std::chrono::floor<seconds>(time)); }

}  // namespace

Result<Admission> Admission::begin(Journal& journal, std::int64_t readings_per_hour, bool rehearsal) {
  BOOST_OUTCOME_TRY(sensors, journal.sensors());
  std::optional<Time> newest;
  for (const SensorHeard& one : sensors) newest = std::max(newest.value_or(one.last), one.last);
  Admission admission(newest, readings_per_hour, rehearsal);
  for (const SensorHeard& one : sensors) admission.gate_.heard(one.sensor, one.last);
  return admission;
}

Result<Decoded> Admission::admit(const Message& message, Decoded decoded) {
  const bool waits = !rehearsal_ && decoded.newest_stamp &&
                     clock_behind_.waits(*decoded.newest_stamp,
                                         {message.received, time_since_boot(), clock_is_synchronised()});
  if (!clock_behind_.doubted()) {
    shown_.reset();
  } else if (!shown_) {
    shown_ = decoded.newest_stamp;
  }
  if (waits) {
    if (!waiting_) {
      spdlog::error(
          "a message on {} says that it is {}, but the clock of this machine says {}: it seems to be behind. "
          "Messages stay at the broker until the clock is set; see that the machine sets it from the network",
          displayable(message.topic, 200), to_the_second(*decoded.newest_stamp),
          to_the_second(message.received));
      waiting_ = true;
    }
    return fail(Errc::unavailable, "the clock of this machine is behind");
  }
  if (waiting_) {
    spdlog::warn("messages are taken again, by the clock as it is now: {}", to_the_second(message.received));
    waiting_ = false;
  }
  if (!thinned_ || thinned_->out.size() != decoded.readings.size())
    thinned_ = thin(message, decoded.readings);
  std::vector<Reading> kept;
  for (std::size_t i = 0; i < decoded.readings.size(); ++i) {
    if (!thinned_->out[i]) kept.push_back(std::move(decoded.readings[i]));
  }
  decoded.readings = std::move(kept);
  decoded.refusals.insert(decoded.refusals.end(), thinned_->refusals.begin(), thinned_->refusals.end());
  return decoded;
}

Admission::Thinned Admission::thin(const Message& message, const std::vector<Reading>& readings) {
  Thinned thinned;
  for (const Reading& reading : readings) {
    const bool out = !gate_.admit(reading.sensor, message.received, message.backlog);
    thinned.out.push_back(out);
    const std::int64_t count = out ? gate_.to_report(reading.sensor, message.received) : 0;
    if (count == 0) continue;
    Refusal refusal{message.received,
                    RefusalReason::too_many,
                    displayable(message.topic, 256),
                    reading.sensor,
                    fmt::format("it sends more than {} readings an hour; {} left out", per_hour_, count),
                    displayable(message.payload, kRefusalHeadBytes)};
    refusal.times = count;
    thinned.refusals.push_back(std::move(refusal));
    if (gate_.begins(reading.sensor)) {
      spdlog::warn(
          "the sensor {} sends more than {} readings an hour, and what is above is left out. If it is meant "
          "to, "
          "raise readings_per_hour in [ingest]",
          displayable(reading.sensor, 128), per_hour_);
    }
  }
  return thinned;
}

}  // namespace gyle
