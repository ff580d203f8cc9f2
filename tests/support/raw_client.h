#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstring>
#include <filesystem>
#include <string>
#include <utility>

namespace gyle::test {

// A client of a loopback port or a Unix socket that sends exactly the given bytes. Reads time out after ten
// seconds.
class RawClient {
 public:
  // `receive_bytes`: receive buffer of the socket; 0: the system's default.
  explicit RawClient(int port, int receive_bytes = 0) : fd_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    if (receive_bytes > 0) ::setsockopt(fd_, SOL_SOCKET, SO_RCVBUF, &receive_bytes, sizeof(receive_bytes));
    connect(address);
  }
  explicit RawClient(const std::filesystem::path& socket) : fd_(::socket(AF_UNIX, SOCK_STREAM, 0)) {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    std::strncpy(address.sun_path, socket.c_str(), sizeof(address.sun_path) - 1);
    connect(address);
  }
  RawClient(RawClient&& other) noexcept : fd_(std::exchange(other.fd_, -1)), connected_(other.connected_) {}
  RawClient& operator=(RawClient&&) = delete;
  ~RawClient() {
    if (fd_ >= 0) ::close(fd_);
  }
  bool connected() const { return connected_; }

  // Bytes that the server does not accept are dropped.
  void say(const std::string& bytes) const {
    std::size_t sent = 0;
    while (sent < bytes.size()) {
      const ssize_t n = ::send(fd_, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
      if (n <= 0) return;
      sent += static_cast<std::size_t>(n);
    }
  }

  std::string hear_until(const std::string& end) const {
    std::string heard;
    char c = 0;
    while ((heard.size() < end.size() || heard.compare(heard.size() - end.size(), end.size(), end) != 0) &&
           ::recv(fd_, &c, 1, 0) == 1) {
      heard += c;
    }
    return heard;
  }
  std::string hear_all() const {
    std::string heard;
    char buffer[16384];
    for (ssize_t n = 0; (n = ::recv(fd_, buffer, sizeof(buffer), 0)) > 0;) {
      heard.append(buffer, static_cast<std::size_t>(n));
    }
    return heard;
  }

 private:
  template <class Address>
  void connect(const Address& address) {
    const timeval patience{10, 0};
    ::setsockopt(fd_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
    connected_ = ::connect(fd_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0;
  }

  int fd_;
  bool connected_ = false;
};

}  // namespace gyle::test
