#include "app/page_server.h"

#include <fmt/format.h>

#include "config/read_file.h"
#include "web/access.h"

namespace gyle {
namespace {

// Even when clients use all that they are allowed, memory stays far below the unit's limit.
constexpr HttpLimits kLimits{.connections = 256,
                             .connections_per_address = 64,
                             .body_bytes = 64 * 1024,
                             .header_bytes = 32 * 1024,
                             .answer_bytes = 1024 * 1024};

auto about(const char* setting, const Error& error) {
  return fail(error.code, fmt::format("{} ({} in [page])", error.message, setting));
}

Result<std::string> content(const std::filesystem::path& file, const char* setting) {
  if (file.empty()) return std::string();
  auto read = read_secret(file);
  if (!read) return about(setting, read.error());
  return std::move(read).value();
}

}  // namespace

Result<std::unique_ptr<HttpServer>> serve_page(boost::asio::io_context& io, const PageSettings& settings,
                                               Site::Rooms rooms, const Clock& clock, EventHub& hub) {
  BOOST_OUTCOME_TRY(token, content(settings.token_file, "token_file"));
  if (!settings.token_file.empty() && token.size() < kShortestToken) {
    return fail(
        Errc::out_of_range,
        fmt::format(
            "the token in {} has {} characters and needs {} or more; make one with openssl rand -hex 16 "
            "(token_file in [page])",
            settings.token_file.string(), token.size(), kShortestToken));
  }
  BOOST_OUTCOME_TRY(certificate, content(settings.certificate, "certificate"));
  BOOST_OUTCOME_TRY(key, content(settings.key, "key"));
  auto site = std::make_shared<Site>(Access({token, settings.address, settings.hosts}, new_session_name),
                                     std::move(rooms), clock);
  auto server = HttpServer::listen(
      io, TcpEndpoint{settings.address, settings.port, certificate, key, security_headers()},
      [site](const HttpRequest& request) { return site->answer(request); }, kLimits, &hub);
  if (!server)
    return about(server.error().code == Errc::malformed ? "certificate, key" : "listen", server.error());
  return std::move(server).value();
}

}  // namespace gyle
