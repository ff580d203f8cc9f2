#include "mqtt/host_name.h"

#include <fmt/format.h>
#include <netdb.h>
#include <sys/socket.h>

namespace gyle {

Status check_host_known(const std::string& broker) {
  const std::size_t scheme = broker.find("://");
  std::string host = scheme == std::string::npos ? broker : broker.substr(scheme + 3);
  if (host.starts_with('[')) return success();  // an address
  host = host.substr(0, host.find(':'));
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  const int error = ::getaddrinfo(host.c_str(), nullptr, &hints, &found);
  if (error == 0) {
    ::freeaddrinfo(found);
    return success();
  }
  return fail(
      Errc::unavailable,
      fmt::format("the host name \"{}\" of the broker {} cannot be resolved: {}; check its spelling, or "
                  "write the address",
                  host, broker, ::gai_strerror(error)));
}

}  // namespace gyle
