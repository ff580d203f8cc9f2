#include "app/event_loop.h"

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>

namespace gyle {

namespace asio = boost::asio;

struct EventLoop::Parts {
  asio::io_context io{1};
  asio::executor_work_guard<asio::io_context::executor_type> work = asio::make_work_guard(io);
  asio::signal_set signals{io};
  std::function<void()> on_hangup;
  int ended_by = 0;

  void wait_for_signal() {
    signals.async_wait([this](const boost::system::error_code& error, int signal) {
      if (error) return;
      if (signal == SIGHUP) {
        on_hangup();
        wait_for_signal();
        return;
      }
      ended_by = signal;
      io.stop();
    });
  }

  void repeat(const std::shared_ptr<asio::steady_timer>& timer, Duration period,
              const std::shared_ptr<std::function<void()>>& work_item) {
    timer->expires_after(period);
    timer->async_wait([this, timer, period, work_item](const boost::system::error_code& error) {
      if (error) return;
      (*work_item)();
      repeat(timer, period, work_item);
    });
  }
};

EventLoop::EventLoop() : parts_(std::make_unique<Parts>()) {}
EventLoop::~EventLoop() = default;

int EventLoop::run() {
  parts_->io.run();
  return parts_->ended_by;
}

void EventLoop::stop() { parts_->io.stop(); }

void EventLoop::post(std::function<void()> work) { asio::post(parts_->io, std::move(work)); }

void EventLoop::after(Duration pause, std::function<void()> work) {
  auto timer = std::make_shared<asio::steady_timer>(parts_->io, pause);
  timer->async_wait([timer, work = std::move(work)](const boost::system::error_code& error) {
    if (!error) work();
  });
}

void EventLoop::every(Duration period, std::function<void()> work) {
  parts_->repeat(std::make_shared<asio::steady_timer>(parts_->io), period,
                 std::make_shared<std::function<void()>>(std::move(work)));
}

void EventLoop::handle_signals(std::function<void()> on_hangup) {
  parts_->on_hangup = std::move(on_hangup);
  parts_->signals.add(SIGTERM);
  parts_->signals.add(SIGINT);
  parts_->signals.add(SIGHUP);
  parts_->wait_for_signal();
}

asio::io_context& EventLoop::io() { return parts_->io; }

}  // namespace gyle
