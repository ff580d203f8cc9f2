#pragma once

#include <sys/socket.h>
#include <sys/types.h>
#include <unistd.h>

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

#include "base/result.h"
#include "control/http_server.h"

namespace gyle {

// Which file a path names, so that only our own socket is removed at the end.
struct FileIdentity {
  dev_t device = 0;
  ino_t inode = 0;
  bool operator==(const FileIdentity&) const = default;
};
std::optional<FileIdentity> identity_of(const std::filesystem::path& path);

// A file descriptor that is closed unless it is released.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(Descriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }
  int release() { return std::exchange(fd_, -1); }

 private:
  int fd_;
};

// A socket that is bound and listens, as HttpServer::listen() says.
Result<Descriptor> bind_and_listen(const std::filesystem::path& path, unsigned mode);
Result<Descriptor> bind_and_listen(const TcpEndpoint& endpoint);

// "192.168.1.7", "fe80::1"; an IPv4 address that came through an IPv6 socket as what it is.
std::string address_text(const sockaddr* address);

}  // namespace gyle
