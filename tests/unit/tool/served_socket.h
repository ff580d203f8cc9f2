#pragma once

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <catch2/catch.hpp>
#include <thread>

#include "control/http_server.h"

namespace gyle::test {

// The real server with a handler of the test's.
class Daemon {
 public:
  Daemon(const std::filesystem::path& socket, HttpHandler handler)
      : server_(HttpServer::listen(io_, socket, 0600, std::move(handler))), thread_([this] { io_.run(); }) {
    REQUIRE(server_);
  }
  ~Daemon() {
    io_.stop();
    thread_.join();
  }

 private:
  boost::asio::io_context io_;
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work_{io_.get_executor()};
  Result<std::unique_ptr<HttpServer>> server_;
  std::thread thread_;
};

}  // namespace gyle::test
