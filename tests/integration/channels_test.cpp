#include <catch2/catch.hpp>
#include <chrono>
#include <future>

#include "alerts/channels/email_channel.h"
#include "alerts/channels/mqtt_channel.h"
#include "alerts/channels/webhook_channel.h"
#include "alerts/channels/webhook_signature.h"
#include "base/text.h"
#include "clock/system_clock.h"
#include "mqtt/link.h"
#include "support/broker.h"
#include "support/cloud_event_rules.h"
#include "support/made_up_notice.h"
#include "support/manual_clock.h"
#include "support/sink.h"

using namespace gyle;
using nlohmann::json;
using Outcome = Delivered::Outcome;
using std::chrono::steady_clock;

namespace {

const std::string kToken = "tok-4f9a77";
const std::string kKey = "k3y-of-the-signature";
const std::string kPassword = "p4ssw0rd-of-the-mailbox";
constexpr TransferLimits kShort{seconds(2), seconds(2)};

const Clock& machine_clock() {
  static const SystemClock clock;
  return clock;
}

std::future<Delivered> send(Channel& channel, const Notice& notice) {
  auto promise = std::make_shared<std::promise<Delivered>>();
  auto future = promise->get_future();
  channel.send(notice, [promise](Delivered delivered) { promise->set_value(std::move(delivered)); });
  return future;
}

Delivered sent(Channel& channel, const Notice& notice = test::made_up_notice()) {
  auto future = send(channel, notice);
  REQUIRE(future.wait_for(std::chrono::seconds(30)) == std::future_status::ready);
  Delivered delivered = future.get();
  CAPTURE(delivered.answer);
  CHECK(is_clean_text(delivered.answer));
  CHECK(delivered.answer.size() <= 200);
  for (const std::string& secret : {kToken, kKey, kPassword, std::string("s3cret-path")})
    CHECK(delivered.answer.find(secret) == std::string::npos);
  return delivered;
}

std::unique_ptr<WebhookChannel> webhook(const std::string& url, const std::filesystem::path& ca = {},
                                        TransferLimits limits = {}) {
  WebhookSettings settings;
  settings.url = url;
  settings.ca_file = ca;
  return std::move(WebhookChannel::open(settings, kToken, kKey, machine_clock(), limits).value());
}

EmailSettings mail_settings(const std::string& server, const std::filesystem::path& ca) {
  EmailSettings settings;
  settings.server = server;
  settings.from = "cellar@example.org";
  settings.to = {"brewer@example.org"};
  settings.username = "cellar";
  settings.ca_file = ca;
  return settings;
}

std::unique_ptr<EmailChannel> mailbox(const EmailSettings& settings, const std::string& password = kPassword,
                                      TransferLimits limits = {}) {
  return std::move(EmailChannel::open(settings, password, limits).value());
}

std::vector<std::string> mail_arguments(const test::Certificate& certificate,
                                        const std::string& script = "") {
  return {"--user",   "cellar", "--password", kPassword, "--certificate", certificate.with_key(),
          "--script", script};
}

}  // namespace

TEST_CASE("a webhook sends a signed CloudEvent") {
  test::Sink sink("http_sink.py");
  const auto channel = webhook(sink.url("http") + "/hook/s3cret-path?x=1");
  const Delivered delivered = sent(*channel);
  CHECK(delivered.outcome == Outcome::arrived);
  CHECK(delivered.answer == "the server answered 200 OK: ok");
  REQUIRE(sink.received().size() == 1);
  const json request = sink.received()[0];
  CHECK(request["method"] == "POST");
  CHECK(request["path"] == "/hook/s3cret-path?x=1");
  const json headers = request["headers"];
  CHECK(headers["idempotency-key"] == test::made_up_notice().id);
  CHECK(headers["content-type"] == "application/cloudevents+json; charset=utf-8");
  CHECK(headers["authorization"] == "Bearer " + kToken);
  const std::string body = request["body"];
  CHECK(test::broken_cloud_event_rules(body).empty());
  const std::string timestamp = headers["gylekeeper-timestamp"];
  CHECK(std::abs(std::stod(timestamp) - request["time"].get<double>()) < 60);
  CHECK(headers["gylekeeper-signature"] == "sha256=" + hmac_sha256(kKey, timestamp + "." + body));
}

TEST_CASE("a webhook sends a body of the brewer's own") {
  test::Sink sink("http_sink.py");
  WebhookSettings settings;
  settings.url = sink.url("http");
  settings.headers = {"Subject: {title}"};
  settings.content_type = "application/json";
  settings.body = R"({"message": "{text}"})";
  const auto channel = std::move(WebhookChannel::open(settings, "", "", machine_clock()).value());
  Notice notice = test::made_up_notice();
  notice.title = "Märzen\r\nX-Injected: yes";
  notice.text = "He said \"stuck\"\nand left {";
  CHECK(sent(*channel, notice).outcome == Outcome::arrived);
  const json request = sink.received().at(0);
  CHECK(json::parse(request["body"].get<std::string>())["message"] == notice.text);
  CHECK(request["headers"]["subject"] == "Märzen  X-Injected: yes");
  CHECK_FALSE(request["headers"].contains("x-injected"));
  CHECK_FALSE(request["headers"].contains("authorization"));
  CHECK_FALSE(request["headers"].contains("gylekeeper-signature"));
}

TEST_CASE("the web server's answer decides the fate of the delivery") {
  struct Row {
    const char* word;
    Outcome outcome;
    const char* answer;
  };
  const auto row = GENERATE(values<Row>({
      {"204", Outcome::arrived, "the server answered 204 No Content"},
      {"500", Outcome::later, "the server answered 500 Internal Server Error"},
      {"410", Outcome::refused, "the server answered 410 Gone"},
      {"401", Outcome::refused,
       "the server answered 401 Unauthorized: token missing: Bearer (secret) for (secret)"},
      {"redirect", Outcome::refused,
       "the server answered 307 Temporary Redirect: the address has moved to https://elsewhere.example; "
       "redirects are not followed"},
      {"redirect-here", Outcome::refused,
       "the server answered 308 Permanent Redirect: the address has moved to another path of this server; "
       "redirects are not followed"},
      {"huge", Outcome::later, "the server answered 500 Internal Server Error: too much too much too much"},
      {"control", Outcome::refused, "the server answered 400 Bad Request: bad [31mred ? value"},
      {"cut", Outcome::arrived, "the server answered 200 OK: xxxxxxxx"},
      {"drop", Outcome::later, "no answer from http://127.0.0.1:"},
  }));
  CAPTURE(row.word);
  test::Sink sink("http_sink.py", {"--script", row.word});
  const auto channel = webhook(sink.url("http") + "/hook/s3cret-path");
  const auto start = steady_clock::now();
  const Delivered delivered = sent(*channel);
  CHECK(delivered.outcome == row.outcome);
  CHECK_THAT(delivered.answer, Catch::StartsWith(row.answer));
  CHECK_FALSE(delivered.not_before.has_value());
  CHECK(sink.received().size() == 1);  // nothing is followed or repeated
  CHECK(steady_clock::now() - start < std::chrono::seconds(5));
}

TEST_CASE("a web server may say when to retry") {
  const auto* word = GENERATE("429:90", "503:90", "429:date+90");
  test::Sink sink("http_sink.py", {"--script", word});
  const Delivered delivered = sent(*webhook(sink.url("http")));
  CHECK(delivered.outcome == Outcome::later);
  REQUIRE(delivered.not_before.has_value());
  CHECK(in_seconds(*delivered.not_before) <= 91);
  CHECK(in_seconds(*delivered.not_before) >= 80);
}

TEST_CASE("a repeated attempt can be recognised") {
  test::Sink sink("http_sink.py", {"--script", "drop,500"});
  const auto channel = webhook(sink.url("http"));
  CHECK(sent(*channel).outcome == Outcome::later);
  CHECK(sent(*channel).outcome == Outcome::later);
  sink.start({"--script", ""});
  CHECK(sent(*channel).outcome == Outcome::arrived);
  const auto received = sink.received();
  REQUIRE(received.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(received[i]["key"] == test::made_up_notice().id);
    CHECK(received[i]["seen"] == i);
    CHECK(received[i]["body"] == received[0]["body"]);
  }
}

TEST_CASE("a web server that is not there, or does not answer") {
  const int port = test::free_port();
  const Delivered absent = sent(*webhook("http://127.0.0.1:" + std::to_string(port)));
  CHECK(absent.outcome == Outcome::later);
  CHECK_THAT(absent.answer,
             Catch::StartsWith("no answer from http://127.0.0.1:" + std::to_string(port) + ": "));
  test::Sink sink("http_sink.py", {"--script", "hang"});
  const auto start = steady_clock::now();
  const Delivered silent = sent(*webhook(sink.url("http"), {}, kShort));
  CHECK(silent.outcome == Outcome::later);
  CHECK_THAT(silent.answer, Catch::Contains("timed out"));
  CHECK(steady_clock::now() - start < std::chrono::seconds(4));
}

TEST_CASE("over TLS only trusted certificates are accepted") {
  const test::Certificate certificate;
  const test::Certificate other;
  const test::Certificate of_another("DNS:another.example");
  SECTION("trusted") {
    test::Sink sink("http_sink.py", {"--certificate", certificate.with_key()});
    CHECK(sent(*webhook(sink.url("https"), certificate.file())).outcome == Outcome::arrived);
  }
  SECTION("not trusted") {
    test::Sink sink("http_sink.py", {"--certificate", certificate.with_key()});
    for (const auto& ca : {std::filesystem::path(), other.file()}) {
      const Delivered delivered = sent(*webhook(sink.url("https"), ca));
      CHECK(delivered.outcome == Outcome::later);
      CHECK_THAT(delivered.answer,
                 Catch::StartsWith("the certificate of https://127.0.0.1:") &&
                     Catch::Contains("is not trusted, nothing was sent: SSL certificate problem"));
    }
    CHECK(sink.received().empty());
  }
  SECTION("for another name") {
    test::Sink sink("http_sink.py", {"--certificate", of_another.with_key()});
    const Delivered delivered = sent(*webhook(sink.url("https"), of_another.file()));
    CHECK(delivered.outcome == Outcome::later);
    CHECK_THAT(delivered.answer, Catch::Contains("is not trusted"));
    CHECK(sink.received().empty());
  }
  SECTION("no TLS at the other end") {
    test::Sink sink("http_sink.py");
    CHECK(sent(*webhook(sink.url("https"), certificate.file())).outcome == Outcome::later);
    CHECK(sink.received().empty());
  }
  SECTION("no file of certificates") {
    test::Sink sink("http_sink.py", {"--certificate", certificate.with_key()});
    const Delivered delivered = sent(*webhook(sink.url("https"), "/nowhere/ca.pem"));
    CHECK(delivered.outcome == Outcome::later);
    CHECK_THAT(delivered.answer, Catch::Contains("/nowhere/ca.pem"));
  }
}

TEST_CASE("a stop ends running deliveries within a second, each exactly once") {
  test::Sink sink("http_sink.py", {"--usual", "hang"});
  auto channel = webhook(sink.url("http"));
  std::vector<std::future<Delivered>> deliveries;
  for (int i = 0; i < 3; ++i) deliveries.push_back(send(*channel, test::made_up_notice()));
  REQUIRE(test::eventually([&] { return sink.received().size() == 1; }));
  const auto start = steady_clock::now();
  channel.reset();
  CHECK(steady_clock::now() - start < std::chrono::seconds(1));
  for (auto& delivery : deliveries) {
    REQUIRE(delivery.wait_for(std::chrono::seconds(0)) == std::future_status::ready);
    CHECK(delivery.get().outcome == Outcome::later);
  }
  CHECK(sink.received().size() == 1);
}

TEST_CASE("mail goes over an encrypted connection with a login") {
  const test::Certificate certificate;
  const bool implicit = GENERATE(false, true);
  auto arguments = mail_arguments(certificate);
  if (implicit) arguments.push_back("--implicit-tls");
  test::Sink sink("smtp_sink.py", arguments);
  auto settings = mail_settings(sink.url(implicit ? "smtps" : "smtp"), certificate.file());
  settings.to = {"brewer@example.org", "mate@example.net"};
  Notice notice = test::made_up_notice();
  notice.title = "Märzen: the fall has stopped";
  notice.text = ".\nThe second line\n..third = fourth";
  notice.picture_svg = "<svg xmlns=\"http://www.w3.org/2000/svg\"/>";
  const Delivered delivered = sent(*mailbox(settings), notice);
  CAPTURE(delivered.answer);
  CHECK(delivered.outcome == Outcome::arrived);
  REQUIRE(sink.received().size() == 1);
  const json got = sink.received()[0];
  CHECK(got["from"] == "cellar@example.org");
  CHECK(got["to"] == settings.to);
  CHECK(got["tls"] == true);
  CHECK(got["user"] == "cellar");
  CHECK(got["key"] == "<7-12-raised@example.org>");
  CHECK(got["mail"]["subject"] == notice.title);
  CHECK(got["mail"]["text"] == notice.text + "\n");
  CHECK(got["mail"]["attachments"][0]["content"] == notice.picture_svg);
  CHECK(got["mail"]["defects"].empty());
}

TEST_CASE("the mail server's reply decides the fate of the delivery") {
  struct Row {
    const char* word;
    Outcome outcome;
    const char* answer;
    std::size_t noted;
  };
  const auto row = GENERATE(values<Row>({
      {"250", Outcome::arrived, "the server answered 250: ok", 1},
      {"450", Outcome::later, "the server answered 450: try again later", 1},
      {"550", Outcome::refused, "the server answered 550: not wanted here", 1},
      {"554", Outcome::refused, "the server answered 554: not wanted here", 1},
      {"mail:451", Outcome::later, "the server answered 451: try again later", 0},
      {"mail:553", Outcome::refused, "the server answered 553: not wanted here", 0},
      {"rcpt:450", Outcome::later, "the server answered 450: try again later", 0},
      {"rcpt:550", Outcome::refused, "the server answered 550: not wanted here", 0},
      {"drop", Outcome::later, "no answer from smtp://127.0.0.1:", 1},
      {"hang", Outcome::later, "no answer from smtp://127.0.0.1:", 1},
  }));
  CAPTURE(row.word);
  const test::Certificate certificate;
  test::Sink sink("smtp_sink.py", mail_arguments(certificate, row.word));
  const auto channel = mailbox(mail_settings(sink.url("smtp"), certificate.file()), kPassword, kShort);
  const Delivered delivered = sent(*channel);
  CHECK(delivered.outcome == row.outcome);
  CHECK_THAT(delivered.answer, Catch::StartsWith(row.answer));
  CHECK(sink.received().size() == row.noted);
  // The next attempt is the same message, to be recognised by its Message-ID.
  if (row.noted == 1) {
    CHECK(sent(*channel).outcome == Outcome::arrived);
    CHECK(sink.received().at(1)["seen"] == 1);
    CHECK(sink.received().at(1)["raw"] == sink.received().at(0)["raw"]);
  }
}

TEST_CASE("a refused recipient does not keep the message from the others") {
  const test::Certificate certificate;
  test::Sink sink("smtp_sink.py", mail_arguments(certificate, "rcpt:550,rcpt:550"));
  auto settings = mail_settings(sink.url("smtp"), certificate.file());
  settings.to = {"gone@example.org", "brewer@example.org"};
  const Delivered delivered = sent(*mailbox(settings));
  CHECK(delivered.outcome == Outcome::arrived);
  CHECK(delivered.answer == "the server answered 250: ok; for one recipient: 550 not wanted here");
  REQUIRE(sink.received().size() == 1);
  CHECK(sink.received()[0]["to"] == std::vector<std::string>{"brewer@example.org"});
}

TEST_CASE("a password that is wrong needs the brewer") {
  const test::Certificate certificate;
  test::Sink sink("smtp_sink.py", mail_arguments(certificate));
  const Delivered delivered =
      sent(*mailbox(mail_settings(sink.url("smtp"), certificate.file()), "wrong-password"));
  CHECK(delivered.outcome == Outcome::refused);
  CHECK_THAT(delivered.answer, Catch::StartsWith("the login failed: the server answered 535: "));
  CHECK(delivered.answer.find("wrong-password") == std::string::npos);
  CHECK(sink.received().empty());
}

TEST_CASE("no mail, and no password, goes over a connection that cannot be trusted") {
  const test::Certificate certificate;
  const test::Certificate other;
  SECTION("a server without STARTTLS") {
    test::Sink sink("smtp_sink.py");
    const Delivered delivered = sent(*mailbox(mail_settings(sink.url("smtp"), certificate.file())));
    CHECK(delivered.outcome == Outcome::later);
    CHECK_THAT(delivered.answer,
               Catch::StartsWith("smtp://127.0.0.1:") && Catch::Contains("offers no encryption"));
    CHECK(sink.received().empty());
  }
  SECTION("a certificate that is not trusted") {
    test::Sink sink("smtp_sink.py", mail_arguments(certificate));
    const Delivered delivered = sent(*mailbox(mail_settings(sink.url("smtp"), other.file())));
    CHECK(delivered.outcome == Outcome::later);
    CHECK_THAT(delivered.answer, Catch::Contains("is not trusted, nothing was sent"));
    CHECK(sink.received().empty());
  }
}

TEST_CASE("a mail server that hangs does not delay a stop") {
  const test::Certificate certificate;
  test::Sink sink("smtp_sink.py", mail_arguments(certificate, "hang"));
  auto channel = mailbox(mail_settings(sink.url("smtp"), certificate.file()));
  auto delivery = send(*channel, test::made_up_notice());
  REQUIRE(test::eventually([&] { return sink.received().size() == 1; }));
  const auto start = steady_clock::now();
  channel.reset();
  CHECK(steady_clock::now() - start < std::chrono::seconds(1));
  REQUIRE(delivery.wait_for(std::chrono::seconds(0)) == std::future_status::ready);
  CHECK(delivery.get().outcome == Outcome::later);
}

TEST_CASE("a stop at any moment leaves a mail whole or unsent") {
  const test::Certificate certificate;
  test::Sink sink("smtp_sink.py", mail_arguments(certificate));
  Notice notice = test::made_up_notice();
  notice.picture_svg = std::string(std::size_t{8} << 20U, 'x');  // takes a while
  const int moment_ms = GENERATE(0, 30, 60, 120, 240, 480);
  CAPTURE(moment_ms);
  auto channel = mailbox(mail_settings(sink.url("smtp"), certificate.file()));
  auto delivery = send(*channel, notice);
  delivery.wait_for(std::chrono::milliseconds(moment_ms));
  const auto start = steady_clock::now();
  channel.reset();
  CHECK(steady_clock::now() - start < std::chrono::seconds(1));
  // The next message is recorded after anything that the sink still received of the first.
  CHECK(sent(*mailbox(mail_settings(sink.url("smtp"), certificate.file()))).outcome == Outcome::arrived);
  for (const json& one : sink.received()) {
    const std::string raw = one["raw"];
    const bool small = one["mail"]["type"] == "text/plain";
    CHECK((small || raw.ends_with("--=_gylekeeper--\r\n")));
  }
}

TEST_CASE("an open alert is retained at the broker, and cleared when it is withdrawn") {
  test::Broker broker;
  broker.start();
  MqttSettings settings;
  settings.broker = broker.url();
  MqttLink link(settings, "", {},
                {[](const Message&, std::stop_token) { return Status(success()); }, [](const LinkEvent&) {}},
                machine_clock());
  REQUIRE(link.start().has_value());
  MqttChannel channel(link, "alerts");
  const auto retained = [&] {
    const test::TempDir dir;
    test::Process subscriber({"mosquitto_sub", "-p", std::to_string(broker.port()), "-t", "alerts/#", "-v",
                              "--retained-only", "-W", "1"},
                             dir / "out");
    subscriber.wait();
    std::ifstream in(dir / "out");
    std::vector<std::string> topics;
    for (std::string line; std::getline(in, line);) {
      if (line.substr(0, 7) == "alerts/") topics.push_back(line.substr(0, line.find(' ')));
    }
    return topics;
  };
  Notice notice = test::made_up_notice();
  CHECK(sent(channel, notice).outcome == Outcome::arrived);
  Notice happened = notice;
  happened.kind = "summary";
  CHECK(sent(channel, happened).outcome == Outcome::arrived);
  CHECK(retained() == std::vector<std::string>{"alerts/cellar/stuck"});
  notice.state = "withdrawn";
  CHECK(sent(channel, notice).outcome == Outcome::arrived);
  CHECK(retained().empty());
}
