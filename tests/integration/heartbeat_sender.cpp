// A daemon that only sends its heartbeat until SIGTERM, as CLIENT_ID.
//   heartbeat_sender BROKER CLIENT_ID VERSION KEEP_ALIVE_S BEAT_MS
// SIGUSR1: hangs, though its connection does not.
#include <signal.h>
#include <time.h>

#include <cstdio>
#include <cstdlib>

#include "clock/system_clock.h"
#include "mqtt/link.h"

int main(int argc, char** argv) {
  using namespace gyle;
  if (argc != 6) return 2;
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGUSR1);
  sigprocmask(SIG_BLOCK, &signals, nullptr);

  MqttSettings settings;
  settings.broker = argv[1];
  settings.client_id = argv[2];
  settings.version = std::atoi(argv[3]);
  settings.keep_alive = seconds(std::atoi(argv[4]));
  const long beat_ms = std::atol(argv[5]);
  const SystemClock clock;
  MqttLink link(settings, "", {},
                {[](const Message&, std::stop_token) { return success(); },
                 [](const LinkEvent& event) { std::fprintf(stderr, "%s\n", event.text.c_str()); }},
                clock);
  if (!link.start()) return 1;
  const timespec pause{beat_ms / 1000, beat_ms % 1000 * 1'000'000};
  bool hangs = false;
  for (;;) {
    const int signal = sigtimedwait(&signals, nullptr, &pause);
    if (signal == SIGTERM) return link.stop() ? 0 : 1;
    if (signal == SIGUSR1) hangs = true;
    if (!hangs) link.beat();
  }
}
