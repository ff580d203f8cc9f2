#pragma once

#include <functional>
#include <memory>

#include "base/time.h"

namespace boost::asio {
class io_context;
}

namespace gyle {

// The daemon's main thread: everything but the receipt of messages happens here, in turn.
class EventLoop {
 public:
  EventLoop();
  ~EventLoop();

  // Runs until stop(); returns the signal that ended it, or 0.
  int run();
  void stop();  // from any thread

  // From any thread; run in the order of posting.
  void post(std::function<void()> work);

  // From the loop's own thread, once, after `pause`; not at all when the loop stops before.
  void after(Duration pause, std::function<void()> work);

  // From the loop's own thread, again and again until the loop stops.
  void every(Duration period, std::function<void()> work);

  // SIGTERM and SIGINT end run(); SIGHUP calls `on_hangup`.
  void handle_signals(std::function<void()> on_hangup);

  boost::asio::io_context& io();

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace gyle
