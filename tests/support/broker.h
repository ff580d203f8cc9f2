#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <fstream>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "support/process.h"
#include "support/temp_dir.h"

namespace gyle::test {

// A loopback port that is free now.
inline int free_port() {
  const int fd = socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  if (fd < 0 || bind(fd, reinterpret_cast<sockaddr*>(&address), size) != 0 ||
      getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size) != 0) {
    throw std::runtime_error("no free port");
  }
  close(fd);
  return ntohs(address.sin_port);
}

// A mosquitto on loopback with its own folder. Keeps port and folder across restarts.
class Broker {
 public:
  // `options`: lines of mosquitto.conf beside those that keep every message (as shipped in config/).
  explicit Broker(std::string options = "allow_anonymous true\n")
      : options_(std::move(options)), port_(free_port()) {}

  int port() const { return port_; }
  std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }
  std::filesystem::path folder() const { return dir_.path(); }

  void start() {
    std::ofstream(dir_ / "mosquitto.conf")
        << "listener " << port_ << " 127.0.0.1\n"
        << "persistence true\npersistence_location " << dir_.path().string() << "/\n"
        << "autosave_interval 1\nmax_inflight_messages 0\nmax_queued_messages 0\nqueue_qos0_messages true\n"
        << (getuid() == 0 ? "user root\n" : "") << "log_dest file " << (dir_ / "broker.log").string() << "\n"
        << "log_type all\n"
        << options_;
    process_.reset();
    const char* const installed = "/usr/sbin/mosquitto";  // often not in PATH
    process_ = std::make_unique<Process>(
        std::vector<std::string>{access(installed, X_OK) == 0 ? installed : "mosquitto", "-c",
                                 (dir_ / "mosquitto.conf").string()},
        dir_ / "broker.out");
    if (!eventually([this] { return accepts(); })) throw std::runtime_error("the broker does not start");
  }
  void stop() {  // saves its sessions first
    process_->send(SIGTERM);
    process_->wait();
  }
  void kill() {
    process_->send(SIGKILL);
    process_->wait();
  }
  // Connections stay and take what is sent, but nobody answers.
  void freeze() const { process_->send(SIGSTOP); }
  void thaw() const { process_->send(SIGCONT); }
  // As a broker that comes back with nothing of what it knew.
  void forget() const { std::filesystem::remove(dir_ / "mosquitto.db"); }

  // Publishes the payloads in order at QoS 1 over one connection; returns when all are acknowledged.
  void publish(const std::string& topic, const std::vector<std::string>& payloads,
               const std::vector<std::string>& more_arguments = {}) const {
    const TempDir dir;
    {
      std::ofstream lines(dir / "lines");
      for (const std::string& payload : payloads) lines << payload << "\n";
    }
    std::vector<std::string> command{
        "mosquitto_pub", "-h", "127.0.0.1", "-p", std::to_string(port_), "-q", "1", "-t", topic, "-l"};
    command.insert(command.end(), more_arguments.begin(), more_arguments.end());
    Process publisher(command, dir / "log", dir / "lines");
    if (publisher.wait() != 0) throw std::runtime_error("cannot publish");
  }

  std::string log() const {
    std::ifstream in(dir_ / "broker.log");
    return {std::istreambuf_iterator<char>(in), {}};
  }

 private:
  bool accepts() const {
    const int fd = socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port_));
    const bool connected = connect(fd, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0;
    close(fd);
    return connected;
  }

  TempDir dir_;
  std::string options_;
  int port_;
  std::unique_ptr<Process> process_;
};

}  // namespace gyle::test
