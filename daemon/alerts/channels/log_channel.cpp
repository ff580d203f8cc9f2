#include "alerts/channels/log_channel.h"

#include <spdlog/spdlog.h>

#include "wording/format.h"

namespace gyle {
namespace {

spdlog::level::level_enum level_of(Severity severity) {
  if (severity <= Severity::critical) return spdlog::level::critical;
  if (severity == Severity::error) return spdlog::level::err;
  if (severity == Severity::warning) return spdlog::level::warn;
  return spdlog::level::info;
}

}  // namespace

LogChannel::LogChannel(DisplaySettings display) : display_(std::move(display)) {}

void LogChannel::send(const Notice& notice, std::function<void(Status)> done) {
  const bool calm = notice.state == Decision::State::withdrawn;
  spdlog::log(calm ? spdlog::level::info : level_of(notice.severity), "[{}, {}] {}", notice.vessel,
              show_time(notice.time, display_), notice.sentence);
  done(success());
}

}  // namespace gyle
