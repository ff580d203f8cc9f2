// The daemon as a process: how it starts, ends and reloads, and the errors it reports.
#include <sys/mount.h>
#include <sys/un.h>

#include <set>

#include "integration/watched_cellar.h"
#include "support/sink.h"

using namespace gyle::test;
using namespace std::chrono_literals;
using Catch::Matchers::Contains;

namespace {

// A server that accepts connections and never answers.
class SilentListener {
 public:
  SilentListener() : port_(free_port()), fd_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port_));
    REQUIRE(bind(fd_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    REQUIRE(listen(fd_, 16) == 0);
  }
  SilentListener(const SilentListener&) = delete;
  SilentListener& operator=(const SilentListener&) = delete;
  ~SilentListener() { close(fd_); }
  std::string url() const { return "mqtt://127.0.0.1:" + std::to_string(port_); }
  // Whether somebody has connected since the last call.
  bool accepts_one() const { return accept4(fd_, nullptr, nullptr, SOCK_NONBLOCK) >= 0; }

 private:
  int port_;
  int fd_;
};

// Stands in for systemd: receives a service's notifications (sd_notify(3)).
class ServiceManager {
 public:
  explicit ServiceManager(const std::filesystem::path& path)
      : path_(path), fd_(socket(AF_UNIX, SOCK_DGRAM | SOCK_NONBLOCK, 0)) {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    path_.string().copy(address.sun_path, sizeof address.sun_path - 1);
    REQUIRE(bind(fd_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
  }
  ServiceManager(const ServiceManager&) = delete;
  ServiceManager& operator=(const ServiceManager&) = delete;
  ~ServiceManager() { close(fd_); }
  std::vector<std::string> environment(const std::string& watchdog_us) const {
    return {"env", "NOTIFY_SOCKET=" + path_.string(), "WATCHDOG_USEC=" + watchdog_us};
  }
  // Everything received so far.
  const std::string& heard() {
    char buffer[4096];
    for (ssize_t size = 0; (size = recv(fd_, buffer, sizeof buffer, 0)) > 0;) {
      heard_.append(buffer, static_cast<std::size_t>(size)).append("\n");
    }
    return heard_;
  }

 private:
  std::filesystem::path path_;
  int fd_;
  std::string heard_;
};

// A file system so small that it is quickly full, and large enough for a database's log; only where one may
// mount.
class SmallDisk {
 public:
  explicit SmallDisk(const std::filesystem::path& path) : path_(path) {
    std::filesystem::create_directory(path_);
    mounted_ = mount("tmpfs", path_.c_str(), "tmpfs", 0, "size=16m") == 0;
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;
  ~SmallDisk() {
    if (mounted_) umount2(path_.c_str(), MNT_DETACH);
  }
  bool mounted() const { return mounted_; }
  void fill() const {
    std::ofstream ballast(path_ / "ballast", std::ios::binary);
    const std::string block(4096, 'x');
    while (ballast.write(block.data(), 4096).flush()) {
    }
  }
  void free() const { std::filesystem::remove(path_ / "ballast"); }

 private:
  std::filesystem::path path_;
  bool mounted_;
};

void check_ends_within_a_second(Process& daemon) {
  daemon.send(SIGTERM);
  CHECK(daemon.wait(1s).value_or(999) == 0);
}

}  // namespace

TEST_CASE("a broker whose name nobody knows is reported as that in the log, and does not delay the end") {
  WatchedCellar cellar;
  cellar.broker_url = "mqtt://broker.invalid";  // never to be resolved: RFC 6761 section 6.4
  cellar.configure();
  cellar.start();
  CHECK(eventually(
      [&] {
        return content(cellar.log()).find("the name \"broker.invalid\" is unknown") != std::string::npos;
      },
      30s));
  cellar.daemon->send(SIGTERM);
  CHECK(cellar.daemon->wait().value_or(999) == 0);
}

TEST_CASE(
    "a wrong configuration ends the daemon at once, and is reported with its line and what is expected") {
  struct Row {
    const char* more;
    std::vector<std::string> reported;
  };
  const auto row = GENERATE(
      values<Row>({{"[alerts]\nurgnet = \"error\"\n", {"urgnet", "urgent"}},
                   {"[display]\ngravity = \"brix\"\n", {"display.gravity", "brix", "SG"}},
                   {"[[vessel]]\nname = \"right\"\nsensors = [\"hydrometer\"]\n", {"hydrometer", "left"}},
                   {"[[vessel]]\nname = \"right\nsensors = []\n", {}},
                   {"[[source]]\ntopic = \"a/#/b\"\n", {"topic", "#"}}}));
  CAPTURE(row.more);
  WatchedCellar cellar;
  const std::size_t first = 1 + count_of("\n", content(cellar.config()));
  cellar.configure(row.more);
  cellar.start();
  CHECK(cellar.daemon->wait(5s).value_or(999) == 2);
  const std::string said = content(cellar.log());
  CHECK(count_of("\n", said) == 1);
  for (const std::string& word : row.reported) CHECK_THAT(said, Contains(word));
  const std::size_t last = first + count_of("\n", row.more);
  bool names_line = false;
  for (std::size_t line = first; line < last; ++line) {
    names_line |= count_of("gylekeeper.toml:" + std::to_string(line), said) > 0;
  }
  CAPTURE(said);
  CHECK(names_line);
}

TEST_CASE("the daemon ends within a second when asked to") {
  WatchedCellar cellar;
  SECTION("connected") {
    cellar.broker.start();
    cellar.start_and_connect();
    check_ends_within_a_second(*cellar.daemon);
  }
  SECTION("no broker") {
    cellar.start();
    REQUIRE(eventually([&] { return cellar.answers(); }));
    check_ends_within_a_second(*cellar.daemon);
  }
  SECTION("a broker that hangs") {
    const SilentListener silent;
    cellar.broker_url = silent.url();
    cellar.configure();
    cellar.start();
    REQUIRE(eventually([&] { return cellar.answers() && silent.accepts_one(); }));
    check_ends_within_a_second(*cellar.daemon);
  }
}

TEST_CASE("a hangup reloads a changed configuration, and keeps the running one when it is wrong") {
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  const auto pitch = [&](const char* vessel) {
    return cellar.ask({"pitch", "--vessel", vessel, "--name", "Amber", "--pitched", "2026-03-01T18:30:00Z",
                       "--attenuation", "0.73:0.79", "--yeast-range", "16 Cel:22 Cel", "--hold",
                       "18 Cel until final gravity"});
  };
  CHECK(pitch("right").exit == 1);
  cellar.configure(
      "[[vessel]]\nname = \"right\"\nsensors = [\"shed-probe\"]\n"
      "[[source]]\ntopic = \"shed/celsius\"\nformat = \"number\"\nsensor = { name = \"shed-probe\" }\n"
      "beer_temperature = { unit = \"Cel\" }\n");
  cellar.daemon->send(SIGHUP);
  REQUIRE(eventually([&] { return count_of("has been read again", content(cellar.log())) == 1; }));
  const WatchedCellar::Said said = pitch("right");
  CAPTURE(said.text);
  CHECK(said.exit == 0);
  REQUIRE(eventually([&] { return count_of("connected to the broker", content(cellar.log())) == 2; }));
  REQUIRE(eventually([&] { return count_of("shed/celsius", cellar.broker.log()) > 0; }));
  cellar.broker.publish("shed/celsius", {"18.5"});
  CHECK(eventually([&] { return cellar.kept() == 1; }));

  cellar.configure("[alerts]\nurgnet = \"error\"\n");
  cellar.daemon->send(SIGHUP);
  REQUIRE(
      eventually([&] { return count_of("the running configuration stays", content(cellar.log())) == 1; }));
  cellar.broker.publish("shed/celsius", {"18.6"});
  CHECK(eventually([&] { return cellar.kept() == 2; }));
  check_ends_within_a_second(*cellar.daemon);
}

TEST_CASE("a broker that is absent at the start is reported once, and connected to when it appears") {
  WatchedCellar cellar;
  cellar.start();
  REQUIRE(eventually([&] { return cellar.answers() && count_of("broker", content(cellar.log())) > 0; }));
  std::this_thread::sleep_for(3s);  // several attempts
  CHECK(count_of(cellar.broker.url(), content(cellar.log())) == 1);
  cellar.broker.start();
  REQUIRE(eventually([&] { return count_of("connected to the broker", content(cellar.log())) == 1; }, 40s));
  REQUIRE(eventually([&] { return count_of("Sending SUBACK", cellar.broker.log()) > 0; }));
  cellar.broker.publish("probes/bucket/celsius", {"18.5"});
  CHECK(eventually([&] { return cellar.kept() == 1; }));
}

TEST_CASE("alerts reach the log, and stay on the broker") {
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.start_and_connect();
  const std::string file = (cellar.dir / "b.toml").string();
  const std::vector<std::string> batch{"rehearse",   "--quiet", "--pitched",     "2026-03-01T18:30:00Z",
                                       "--interval", "1 h",     "--write-batch", file};
  auto arguments = batch;
  arguments.push_back("--dry-run");
  REQUIRE(cellar.ask(arguments).exit == 0);
  REQUIRE(cellar.ask({"pitch", "--vessel", "left", "--batch", file}).exit == 0);
  arguments = batch;
  arguments.insert(arguments.end(), {"--speed", "max"});
  REQUIRE(cellar.ask(arguments).exit == 0);
  const auto alerts = [&] { return cellar.ask({"alerts", "left", "--json"}).text; };
  REQUIRE(eventually([&] { return count_of("final-gravity-stable", alerts()) > 0; }));
  // The alert is decided, but perhaps not delivered yet.
  Process waiting({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(cellar.broker.port()), "-q", "1",
                   "-t", "gylekeeper/alert/left/final-gravity-stable", "-C", "1", "-W", "30"},
                  cellar.dir / "delivered");
  REQUIRE(waiting.wait() == 0);
  cellar.end();  // what is retained is there without it

  std::map<std::string, nlohmann::json> alerts_of;  // by topic: the newest stays
  {
    const TempDir out;
    Process reader({"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(cellar.broker.port()), "-q", "1",
                    "-t", "gylekeeper/alert/#", "--retained-only", "-W", "2", "-F", "%r %q %t %p"},
                   out / "retained");
    reader.wait();
    std::ifstream in(out / "retained");
    int retained = 0;
    int qos = 0;
    for (std::string topic, payload; in >> retained >> qos >> topic && std::getline(in, payload);) {
      CHECK(retained == 1);
      CHECK(qos == 1);
      alerts_of[topic] = nlohmann::json::parse(payload);
    }
  }
  CHECK(alerts_of.count("gylekeeper/alert/left/fermentation-started") == 1);
  CHECK(alerts_of.count("gylekeeper/alert/left/final-gravity-stable") == 1);
  for (const auto& [topic, alert] : alerts_of) {
    CAPTURE(topic);
    CHECK_THAT(content(cellar.log()), Contains(alert["text"].get<std::string>()));
  }
}

TEST_CASE("the service manager is notified when the daemon is ready, alive and ending") {
  WatchedCellar cellar;  // without a broker: it is ready all the same
  ServiceManager manager(cellar.dir / "notify");
  cellar.start(manager.environment("400000"));
  REQUIRE(eventually([&] { return count_of("READY=1", manager.heard()) == 1; }));
  const auto fed = [&] { return count_of("WATCHDOG=1", manager.heard()); };
  for (int i = 0; i < 5; ++i) {
    const std::size_t before = fed();
    CHECK(eventually([&] { return fed() > before; }, 400ms));
  }
  CHECK(count_of("STOPPING=1", manager.heard()) == 0);
  cellar.end();
  CHECK(count_of("STOPPING=1", manager.heard()) == 1);
}

TEST_CASE("while the disk is full the broker is kept waiting, and nothing is lost") {
  WatchedCellar cellar;
  const SmallDisk disk(cellar.dir / "small");
  if (!disk.mounted()) {
    WARN("skipped: a file system cannot be mounted here");
    return;
  }
  cellar.database_folder = cellar.dir / "small";
  cellar.configure();
  cellar.broker.start();
  cellar.start_and_connect();
  cellar.broker.publish("probes/bucket/celsius", {"18.5"});
  REQUIRE(eventually([&] { return cellar.kept() == 1; }));
  disk.fill();
  std::vector<std::string> payloads;
  for (int i = 0; i < 2000; ++i) payloads.push_back(std::to_string(i / 5 % 60));
  cellar.broker.publish("probes/bucket/celsius", payloads);
  const auto complaints = [&] { return count_of("the broker is kept waiting", content(cellar.log())); };
  REQUIRE(eventually([&] { return complaints() == 1; }));
  std::this_thread::sleep_for(1s);  // several attempts
  CHECK(complaints() == 1);
  CHECK(cellar.kept() < 2001);
  disk.free();
  CHECK(eventually([&] { return cellar.kept() == 2001; }, 60s));
  CHECK(count_of("the journal can be written again", content(cellar.log())) == 1);
  check_ends_within_a_second(*cellar.daemon);
}

// How a brewer tries these settings before trusting them.
TEST_CASE("in a rehearsal the digest comes every morning, and the quiet hours are kept") {
  Sink far("http_sink.py");
  WatchedCellar cellar;
  cellar.configure(
      "[alerts]\ndigest = \"07:30\"\nquiet_hours = \"12:00-07:00\"\n"
      "[[channel]]\nname = \"phone\"\nkind = \"webhook\"\nreminders = false\nurl = \"" +
      far.url("http") + "/phone\"\n");
  cellar.broker.start();
  cellar.start_and_connect();
  const auto batch = (cellar.dir / "b.toml").string();
  const auto rehearse = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words{"rehearse",   "--quiet", "--pitched", "2026-03-01T18:30:00Z",
                                   "--interval", "30 min"};
    words.insert(words.end(), more.begin(), more.end());
    return cellar.ask(words).exit;
  };
  REQUIRE(rehearse({"--dry-run", "--write-batch", batch}) == 0);
  REQUIRE(cellar.ask({"pitch", "--vessel", "left", "--batch", batch}).exit == 0);
  REQUIRE(rehearse({"--speed", "200000"}) == 0);

  struct Sent {
    std::string kind;
    std::int64_t decided_ms, packed_ms;
  };
  const auto sent = [&] {
    return cellar.query<Sent>(
        "SELECT d.kind, d.time_ms, o.packed_ms FROM outbox o JOIN decision d ON d.id = o.decision "
        "WHERE o.channel = 'phone' AND o.packed_ms IS NOT NULL",
        [](sqlite3_stmt* row) {
          return Sent{reinterpret_cast<const char*>(sqlite3_column_text(row, 0)),
                      sqlite3_column_int64(row, 1), sqlite3_column_int64(row, 2)};
        });
  };
  const auto hour = [](std::int64_t ms) { return ms / 3'600'000 % 24; };  // the cellar is at UTC
  const auto digests = [&] {
    const auto all = sent();
    return std::count_if(all.begin(), all.end(), [](const Sent& one) { return one.kind == "digest"; });
  };
  CHECK(eventually([&] { return digests() >= 18; }));
  CHECK(digests() <= 22);
  int held = 0;
  for (const Sent& one : sent()) {
    CAPTURE(one.kind, one.decided_ms, one.packed_ms);
    CHECK(hour(one.packed_ms) >= 7);
    CHECK(hour(one.packed_ms) < 12);
    if (one.kind == "digest") CHECK(hour(one.decided_ms) < 10);
    if (one.kind != "digest" && (hour(one.decided_ms) < 7 || hour(one.decided_ms) >= 12)) ++held;
  }
  CHECK(held > 0);
  cellar.end();
}
