#include "control/listening_socket.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netdb.h>
#include <netinet/in.h>
#include <sys/stat.h>
#include <sys/un.h>

#include <cerrno>
#include <cstring>
#include <memory>

namespace gyle {
namespace {

std::string system_message(int error) { return std::strerror(error); }

Result<sockaddr_un> socket_address(const std::filesystem::path& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  const std::string& text = path.native();
  if (text.empty() || text.size() >= sizeof(address.sun_path)) {
    return fail(Errc::unavailable, fmt::format("the socket path '{}' must have 1 to {} characters", text,
                                               sizeof(address.sun_path) - 1));
  }
  std::memcpy(address.sun_path, text.data(), text.size());
  return address;
}

const sockaddr* generic(const sockaddr_un& address) {
  return reinterpret_cast<const sockaddr*>(&address);  // as the sockets interface wants it
}

// Removes a socket file at `path` that nobody listens on.
Status remove_stale_socket(const std::filesystem::path& path, const sockaddr_un& address) {
  struct stat file {};
  if (::lstat(path.c_str(), &file) != 0) return success();
  if (!S_ISSOCK(file.st_mode)) {
    return fail(Errc::conflict, fmt::format("{} exists and is no socket", path.native()));
  }
  const Descriptor probe(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  const int connected = ::connect(probe.get(), generic(address), sizeof(address));
  // A full backlog (EAGAIN) is a live listener, too.
  if (connected == 0 || errno != ECONNREFUSED) {
    return fail(Errc::conflict, fmt::format("another process listens on {}", path.native()));
  }
  if (::unlink(path.c_str()) != 0 && errno != ENOENT) {
    return fail(Errc::unavailable,
                fmt::format("cannot remove the old socket {}: {}", path.native(), system_message(errno)));
  }
  return success();
}

}  // namespace

std::optional<FileIdentity> identity_of(const std::filesystem::path& path) {
  struct stat file {};
  if (::lstat(path.c_str(), &file) != 0) return std::nullopt;
  return FileIdentity{file.st_dev, file.st_ino};
}

Result<Descriptor> bind_and_listen(const std::filesystem::path& path, unsigned mode) {
  BOOST_OUTCOME_TRY(address, socket_address(path));
  BOOST_OUTCOME_TRYV(remove_stale_socket(path, address));
  const auto failed = [&](const char* what) {
    return fail(Errc::unavailable,
                fmt::format("cannot {} {}: {}", what, path.native(), system_message(errno)));
  };
  Descriptor listening(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  if (listening.get() < 0) return failed("make the socket");
  // Linux gives the file the mode of the socket, less the umask: set before it is bound, it is never wider.
  if (::fchmod(listening.get(), mode) != 0) return failed("set the mode of");
  if (::bind(listening.get(), generic(address), sizeof(address)) != 0) return failed("bind");
  if (::chmod(path.c_str(), mode) != 0) return failed("set the mode of");
  if (::listen(listening.get(), SOMAXCONN) != 0) return failed("listen on");
  return listening;
}

Result<Descriptor> bind_and_listen(const TcpEndpoint& endpoint) {
  addrinfo wanted{};
  wanted.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE;
  wanted.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (::getaddrinfo(endpoint.address.c_str(), std::to_string(endpoint.port).c_str(), &wanted, &found) != 0) {
    return fail(
        Errc::malformed,
        fmt::format("\"{}\" is no address of the network; write for example 127.0.0.1", endpoint.address));
  }
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> addresses(found, ::freeaddrinfo);
  const auto failed = [&] {
    const int error = errno;
    const std::string where = fmt::format("{} port {}", endpoint.address, endpoint.port);
    if (error == EADDRINUSE) return fail(Errc::conflict, "another process listens at " + where);
    return fail(Errc::unavailable, fmt::format("cannot listen at {}: {}", where, system_message(error)));
  };
  Descriptor listening(::socket(found->ai_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  if (listening.get() < 0) return failed();
  // Connections left by a daemon that has just ended must not keep the next one from this port.
  const int yes = 1;
  ::setsockopt(listening.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  if (::bind(listening.get(), found->ai_addr, found->ai_addrlen) != 0) return failed();
  if (::listen(listening.get(), SOMAXCONN) != 0) return failed();
  return listening;
}

std::string address_text(const sockaddr* address) {
  char text[INET6_ADDRSTRLEN] = "";
  if (address->sa_family == AF_INET) {
    ::inet_ntop(AF_INET, &reinterpret_cast<const sockaddr_in*>(address)->sin_addr, text, sizeof(text));
  } else if (address->sa_family == AF_INET6) {
    const in6_addr& six = reinterpret_cast<const sockaddr_in6*>(address)->sin6_addr;
    if (IN6_IS_ADDR_V4MAPPED(&six)) {
      ::inet_ntop(AF_INET, six.s6_addr + 12, text, sizeof(text));
    } else {
      ::inet_ntop(AF_INET6, &six, text, sizeof(text));
    }
  }
  return text;
}

}  // namespace gyle
