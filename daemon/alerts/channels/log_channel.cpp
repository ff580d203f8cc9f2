#include "alerts/channels/log_channel.h"

#include <spdlog/spdlog.h>

#include <sstream>

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

void LogChannel::send(const Notice& notice, std::function<void(Delivered)> done) {
  const auto level = notice.state == "withdrawn" ? spdlog::level::info : level_of(notice.severity);
  const std::string about = notice.vessel.empty() ? "" : notice.vessel + ", ";
  std::istringstream lines(notice.text);
  for (std::string line; std::getline(lines, line);)
    spdlog::log(level, "[{}{}] {}", about, show_time(notice.time, display_), line);
  done({Delivered::Outcome::arrived, "written to the log", std::nullopt});
}

}  // namespace gyle
