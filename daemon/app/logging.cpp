#include "app/logging.h"

#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <array>
#include <cstdlib>

namespace gyle {
namespace {

// The <N> that journald reads as an RFC 5424 severity (sd-daemon(3)).
class JournalPriority final : public spdlog::custom_flag_formatter {
 public:
  void format(const spdlog::details::log_msg& message, const std::tm&, spdlog::memory_buf_t& out) override {
    constexpr std::array<const char*, 7> kPriority{"<7>", "<7>", "<6>", "<4>", "<3>", "<2>", "<6>"};
    const std::string_view prefix = kPriority[static_cast<std::size_t>(message.level)];
    out.append(prefix.data(), prefix.data() + prefix.size());
  }
  std::unique_ptr<custom_flag_formatter> clone() const override {
    return std::make_unique<JournalPriority>();
  }
};

}  // namespace

void start_logging() {
  auto logger = std::make_shared<spdlog::logger>("", std::make_shared<spdlog::sinks::stderr_sink_mt>());
  if (std::getenv("JOURNAL_STREAM") != nullptr) {
    auto formatter = std::make_unique<spdlog::pattern_formatter>();
    formatter->add_flag<JournalPriority>('*').set_pattern("%*%v");
    logger->set_formatter(std::move(formatter));
  } else {
    logger->set_pattern("%H:%M:%S %l: %v");
  }
  logger->flush_on(spdlog::level::trace);
  spdlog::set_default_logger(std::move(logger));
}

}  // namespace gyle
