#include "answer_lines.h"

#include <fmt/format.h>

#include "base/text.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "tool_settings.h"

namespace gyle {

Exit show_answer(const CommonOptions& common,
                 const std::function<Result<std::string>(const ControlClient&)>& ask) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto body = ask(ControlClient(socket.value()));
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  const auto lines = read_lines(body.value());
  if (!lines) return complain(lines.error());
  // They hold names that others chose; a terminal must not interpret them.
  for (const std::string& line : lines.value()) fmt::print("{}\n", displayable(line, line.size()));
  return Exit::ok;
}

Exit show_pages(const CommonOptions& common, const std::string& target) {
  std::optional<std::string> cursor;
  do {
    const std::string page = cursor ? target + (target.find('?') == std::string::npos ? "?" : "&") +
                                          "cursor=" + percent_encoded(*cursor)
                                    : target;
    const Exit shown = show_answer(common, [&](const ControlClient& daemon) -> Result<std::string> {
      BOOST_OUTCOME_TRY(body, daemon.get(page));
      BOOST_OUTCOME_TRY(next, read_next(body));
      cursor = next;
      return body;
    });
    if (shown != Exit::ok) return shown;
  } while (cursor);
  return Exit::ok;
}

}  // namespace gyle
