#include "watched_cellar.h"

using namespace gyle::test;

namespace {

// What a new subscriber finds at the broker: the retained messages below `filter`, "TOPIC PAYLOAD" a line.
std::string retained(const Broker& broker, const std::string& filter) {
  const TempDir dir;
  Process listener({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()), "-t", filter,
                    "-v", "--retained-only", "-W", "1"},
                   dir / "heard");
  listener.wait();
  return content(dir / "heard");
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

// "Device lifecycle" and "Last will" of the Homie convention, version 5.
TEST_CASE("the batches are announced to the home automation, and so is the daemon's death") {
  const int version = GENERATE(5, 3);
  CAPTURE(version);
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.configure("[homie]\nenabled = true\ndevice = \"cellar\"\n",
                   "version = " + std::to_string(version) + "\n");
  cellar.start_and_connect();
  REQUIRE(cellar
              .ask({"pitch", "--vessel", "left", "--name", "Amber no. 12", "--original-gravity", "1.048",
                    "--pitched", "2026-03-01T18:30:00Z"})
              .exit == 0);
  REQUIRE(eventually(
      [&] {
        const std::string found = retained(cellar.broker, "homie/5/cellar/#");
        return holds(found, "$state ready\n") && holds(found, "\"name\":\"Amber no. 12\"") &&
               holds(found, "/batch-1/stage lag\n") && holds(found, "/batch-1/vessel left\n");
      },
      std::chrono::seconds(30)));
  cellar.kill();
  CHECK(eventually([&] { return holds(retained(cellar.broker, "homie/5/cellar/$state"), "$state lost\n"); }));
  cellar.start();
  REQUIRE(
      eventually([&] { return holds(retained(cellar.broker, "homie/5/cellar/$state"), "$state ready\n"); },
                 std::chrono::seconds(30)));
  cellar.end();
  CHECK(holds(retained(cellar.broker, "homie/5/cellar/$state"), "$state disconnected\n"));
}

TEST_CASE("without being asked to, nothing is announced") {
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  CHECK_FALSE(holds(retained(cellar.broker, "homie/#"), "homie/"));
}
