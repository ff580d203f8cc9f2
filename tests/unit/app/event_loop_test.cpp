#include "app/event_loop.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <thread>

#include "support/process.h"

using namespace gyle;
using namespace gyle::test;
using namespace std::chrono_literals;

// The watchdog is fed by every(): a service manager sees a loop that hangs, whatever other threads do.
TEST_CASE("periodic work does not run while the loop hangs") {
  EventLoop loop;
  std::atomic<int> fed = 0;
  std::atomic<bool> hangs = false;
  std::atomic<bool> released = false;
  loop.every(5ms, [&] { ++fed; });
  std::thread watcher([&] { loop.run(); });
  CHECK(eventually([&] { return fed >= 3; }));
  loop.post([&] {
    hangs = true;
    while (!released) std::this_thread::sleep_for(1ms);
  });
  CHECK(eventually([&] { return hangs.load(); }));
  const int before = fed;
  std::this_thread::sleep_for(100ms);
  CHECK(fed == before);
  released = true;
  CHECK(eventually([&] { return fed > before; }));
  loop.stop();
  watcher.join();
}
