// Records bare numbers from a broker into a journal, as the daemon does, and kills itself at a chosen step.
//   mqtt_recorder BROKER DATABASE never|before|inside|after|full|hang N
// before: the N-th message has arrived, nothing is done yet; inside: in the middle of its transaction; after:
// it is committed, but not acknowledged. Ends with code 0 on SIGTERM.
#include <signal.h>
#include <sqlite3.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <thread>

#include "mqtt/link.h"
#include "storage/journal.h"

namespace {

using namespace gyle;

struct WallClock : Clock {
  Time now() const override {
    return std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
  }
};

[[noreturn]] void die() {
  raise(SIGKILL);
  std::abort();
}

bool die_inside = false;

// On every new connection: called with each row that a transaction changes.
int watch(sqlite3* db, char**, const sqlite3_api_routines*) {
  sqlite3_update_hook(
      db,
      [](void*, int, const char*, const char*, sqlite3_int64) {
        if (die_inside) die();
      },
      nullptr);
  return SQLITE_OK;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 5) return 2;
  const std::string where = argv[3];
  const int nth = std::atoi(argv[4]);
  sigset_t end;
  sigemptyset(&end);
  sigaddset(&end, SIGTERM);
  sigprocmask(SIG_BLOCK, &end, nullptr);

  sqlite3_auto_extension(reinterpret_cast<void (*)()>(watch));
  auto database = Database::open(argv[2]);
  if (!database) {
    std::fprintf(stderr, "%s\n", database.error().message.c_str());
    return 1;
  }
  Journal journal(database.value());
  int count = 0;
  MqttSettings settings;
  settings.broker = argv[1];
  settings.client_id = "recorder";
  const WallClock clock;
  MqttLink link(settings, "", {"cellar/#"},
                {[&](const Message& message, std::stop_token) -> Status {
                   const bool now = nth > 0 && ++count >= nth;  // at the first that is not a repetition
                   if (now && where == "before") die();
                   if (now && where == "full") return fail(Errc::storage, "the disk is full");
                   if (now && where == "hang") std::this_thread::sleep_for(std::chrono::hours(1));
                   Decoded decoded{{{message.received, message.topic, Quantity::beer_temperature,
                                     std::stod(message.payload),
                                     message.backlog ? TimeQuality::backlog : TimeQuality::arrival}},
                                   {}};
                   die_inside = now && where == "inside";
                   BOOST_OUTCOME_TRYV(journal.record(message, decoded));
                   if (now && where == "after") die();
                   return success();
                 },
                 [&](const LinkEvent& event) {
                   std::printf("%s\n", event.text.c_str());
                   std::fflush(stdout);
                   if (event.kind == LinkEvent::Kind::connected && !journal.connected(event.session_present))
                     die();
                 }},
                clock);
  if (!link.start()) return 1;
  int signal = 0;
  sigwait(&end, &signal);
  if (link.stop()) return 0;
  MqttLink another(settings, "", {"cellar/#"}, {}, clock);
  const bool refused = !another.start();  // rather than to wait for ever
  std::_Exit(refused ? 3 : 4);            // a thread may still use what is here
}
