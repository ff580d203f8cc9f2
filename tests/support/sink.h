#pragma once

#include <filesystem>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/places.h"
#include "support/process.h"
#include "support/python.h"
#include "support/temp_dir.h"

namespace gyle::test {

// A server of tests/support (http_sink.py or smtp_sink.py) on loopback. Keeps log and port across restarts.
class Sink {
 public:
  explicit Sink(std::string program, std::vector<std::string> arguments = {})
      : program_(std::move(program)), arguments_(std::move(arguments)) {
    start();
  }

  void start(const std::vector<std::string>& more_arguments = {}) {
    stop();
    const auto out = dir_ / ("out-" + std::to_string(++starts_));
    std::vector<std::string> command{python(), source_dir() + "/tests/support/" + program_,
                                     "--log",  dir_ / "log",
                                     "--port", std::to_string(port_)};
    command.insert(command.end(), arguments_.begin(), arguments_.end());
    command.insert(command.end(), more_arguments.begin(), more_arguments.end());
    process_ = std::make_unique<Process>(command, out);
    const bool up = eventually([&] {
      std::ifstream in(out);
      std::string first;
      return static_cast<bool>(std::getline(in, first)) && !in.eof() &&
             first.find_first_not_of("0123456789") == std::string::npos && (port_ = std::stoi(first)) > 0;
    });
    if (!up) {
      std::ifstream in(out);
      throw std::runtime_error(program_ +
                               " does not start: " + std::string(std::istreambuf_iterator<char>(in), {}));
    }
  }
  void stop() { process_.reset(); }

  int port() const { return port_; }
  // scheme://127.0.0.1:port
  std::string url(const std::string& scheme) const {
    return scheme + "://127.0.0.1:" + std::to_string(port_);
  }

  // Everything received so far.
  std::vector<nlohmann::json> received() const {
    std::vector<nlohmann::json> lines;
    std::ifstream in(dir_ / "log");
    for (std::string line; std::getline(in, line);) lines.push_back(nlohmann::json::parse(line));
    return lines;
  }

 private:
  std::string program_;
  std::vector<std::string> arguments_;
  TempDir dir_;
  int port_ = 0;
  int starts_ = 0;
  std::unique_ptr<Process> process_;
};

// A key and a self-signed certificate.
class Certificate {
 public:
  explicit Certificate(const std::string& names = "DNS:localhost,IP:127.0.0.1") {
    Process openssl({"openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
                     "-nodes", "-days", "2", "-subj", "/CN=made up", "-addext", "subjectAltName=" + names,
                     "-keyout", dir_ / "key.pem", "-out", dir_ / "certificate.pem"});
    if (openssl.wait() != 0) throw std::runtime_error("no certificate");
    std::ofstream both(with_key());
    for (const char* part : {"key.pem", "certificate.pem"}) both << std::ifstream(dir_ / part).rdbuf();
  }
  std::filesystem::path file() const { return dir_ / "certificate.pem"; }  // to trust
  std::filesystem::path with_key() const { return dir_ / "server.pem"; }   // to serve

 private:
  TempDir dir_;
};

}  // namespace gyle::test
