#include "answer_lines.h"

#include <fmt/format.h>

#include "base/text.h"
#include "control_answers.h"
#include "tool_settings.h"

namespace gyle {

namespace {

Status show(const CommonOptions& common, const std::string& body) {
  if (common.json) {
    fmt::print("{}", body);
    return success();
  }
  BOOST_OUTCOME_TRY(lines, read_lines(body));
  // They hold names that others chose; a terminal must not interpret them.
  for (const std::string& line : lines) fmt::print("{}\n", displayable(line, line.size()));
  return success();
}

}  // namespace

Exit show_answer(const CommonOptions& common, const DaemonQuery& ask) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const auto body = ask(ControlClient(socket.value()));
  if (!body) return complain(body.error());
  const Status shown = show(common, body.value());
  return shown ? Exit::ok : complain(shown.error());
}

Exit show_pages(const CommonOptions& common, const DaemonQuery& target) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());
  const auto first = target(daemon);
  if (!first) return complain(first.error());
  const Status shown =
      daemon.get_pages(first.value(), [&](const std::string& body) { return show(common, body); });
  return shown ? Exit::ok : complain(shown.error());
}

Exit show_pages(const CommonOptions& common, const std::string& target) {
  return show_pages(common, [&](const ControlClient&) { return Result<std::string>(target); });
}

}  // namespace gyle
