#include "mqtt/host_name.h"

#include <fmt/format.h>
#include <netdb.h>
#include <sys/socket.h>

namespace gyle {
namespace {

int resolve(const std::string& host, int flags) {
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  hints.ai_flags = flags;
  addrinfo* found = nullptr;
  const int error = ::getaddrinfo(host.c_str(), nullptr, &hints, &found);
  if (error == 0) ::freeaddrinfo(found);
  return error;
}

}  // namespace

std::optional<std::string> host_name_of(const std::string& broker) {
  const std::size_t scheme = broker.find("://");
  std::string host = scheme == std::string::npos ? broker : broker.substr(scheme + 3);
  if (host.starts_with('[')) return std::nullopt;  // an address of IPv6
  host = host.substr(0, host.find(':'));
  if (resolve(host, AI_NUMERICHOST) == 0) return std::nullopt;
  return host;
}

Status check_host_known(const std::string& broker) {
  const auto host = host_name_of(broker);
  const int error = host ? resolve(*host, 0) : 0;
  if (error == 0) return success();
  return fail(Errc::unavailable,
              fmt::format("the name \"{}\" is unknown ({}); check its spelling, or write the address", *host,
                          ::gai_strerror(error)));
}

}  // namespace gyle
